#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

static bool chosen(const struct item_choice *item, int64_t clip, int set)
{
    bool in_clips = false, in_sets = item->n_sets == 0;
    for (size_t i = 0; i < item->n_clips; i++)
        in_clips |= item->clips[i] == clip;
    for (size_t i = 0; i < item->n_sets; i++)
        in_sets |= item->sets[i] == set;
    return in_clips && in_sets;
}

static bool set_state(struct store *s, int64_t mark, enum mark_state state, struct err *e)
{
    sqlite3_stmt *m = st_get(s, "UPDATE mark SET state=?2,changed_at=?3 WHERE id=?1", e),
                 *t = st_get(s, "UPDATE mark_target SET state=?2 WHERE mark_id=?1", e);
    if (!m || !t)
        return false;
    sqlite3_bind_int64(m, 1, mark);
    sqlite3_bind_int(m, 2, state);
    sqlite3_bind_int64(m, 3, clock_wall_ms());
    sqlite3_bind_int64(t, 1, mark);
    sqlite3_bind_int(t, 2, state);
    return st_done(s, m, e) && st_done(s, t, e);
}

static bool note_change(struct store *s, const struct show *show, const struct item_choice *item,
                        enum mark_state state, int marks, struct err *e)
{
    sqlite3_stmt *q =
        st_get(s,
               "INSERT INTO item_state(id,section_id,performer_id,fault_id,state,marks,"
               "author,made_at,uid) VALUES(" FRESH_ID("item_state") ",?,?,?,?,?,?,?,?)",
               e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, show->sections[item->section].id);
    if (item->performer >= 0)
        sqlite3_bind_int64(q, 2, show->performers[item->performer].id);
    sqlite3_bind_int64(q, 3, show->faults[item->fault].id);
    sqlite3_bind_int(q, 4, state);
    sqlite3_bind_int(q, 5, marks);
    st_text(q, 6, s->author);
    sqlite3_bind_int64(q, 7, clock_wall_ms());
    st_uid(q, 8);
    return st_done(s, q, e);
}

/* The marks that the choice means and that are not in that state yet. */
static bool choose(struct store *s, const struct show *show, const struct item_choice *item,
                   enum mark_state state, int64_t **out, size_t *n, struct err *e)
{
    sqlite3_stmt *q =
        st_get(s,
               "SELECT DISTINCT mark_id,section_id,performer_id,clip_id,set_id FROM "
               "mark_target WHERE fault_id=?1 AND praise=0 AND state<>?2 AND (?3=0 OR "
               "state=0) AND (?4=0 OR state=1) AND (?5=0 OR cause<>?6 OR EXISTS(SELECT 1 FROM "
               "decision d JOIN mark m ON m.id=mark_id WHERE d.fault_id=?1 AND "
               "m.made_at<=d.made_at)) ORDER BY mark_id",
               e);
    size_t cap = 0;
    bool ok = q != NULL;
    *out = NULL;
    *n = 0;
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, show->faults[item->fault].id);
    sqlite3_bind_int(q, 2, state);
    sqlite3_bind_int(q, 3, item->only_open);
    sqlite3_bind_int(q, 4, item->only_repped);
    sqlite3_bind_int(q, 5, item->answered);
    sqlite3_bind_int(q, 6, CAUSE_DEFINE);
    while (st_row(s, q, &ok, e)) {
        int64_t mark = sqlite3_column_int64(q, 0);
        int section = idmap_find(&s->section_at, sqlite3_column_int64(q, 1));
        int performer = idmap_find(&s->performer_at, sqlite3_column_int64(q, 2));
        int set = idmap_find(&s->set_at, sqlite3_column_int64(q, 4));
        bool whole = sqlite3_column_type(q, 2) == SQLITE_NULL;
        bool mine = item->performer >= 0 ? performer == item->performer
                    : item->whole        ? whole && section == item->section
                                         : section_within(show, section, item->section);
        if (!mine || (*n && (*out)[*n - 1] == mark) ||
            !chosen(item, sqlite3_column_int64(q, 3), set))
            continue;
        *out = array_grow(*out, *n, &cap, sizeof **out);
        (*out)[(*n)++] = mark;
    }
    return ok;
}

int store_item_state(struct store *s, const struct show *show, const struct item_choice *item,
                     enum mark_state state, struct err *e)
{
    int64_t *marks;
    size_t n;
    char what[100];
    snprintf(what, sizeof what, "%.60s: %s", show->faults[item->fault].name,
             mark_state_name(state));
    if (!step_open(s, what, e))
        return -1;
    bool ok = choose(s, show, item, state, &marks, &n, e);
    for (size_t i = 0; ok && i < n; i++)
        ok = set_state(s, marks[i], state, e);
    ok = ok && (n == 0 || note_change(s, show, item, state, (int)n, e));
    free(marks);
    return step_close(s, ok, e) ? (int)n : -1;
}

bool store_last_state(struct store *s, struct arena *a, const struct show *show,
                      const struct item_choice *item, struct state_change *out)
{
    struct err ignored;
    bool ok = true;
    sqlite3_stmt *q = st_get(s,
                             "SELECT state,marks,author,made_at FROM item_state WHERE fault_id=?1 "
                             "AND section_id=?2 AND performer_id IS ?3 ORDER BY made_at DESC,id "
                             "DESC LIMIT 1",
                             &ignored);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, show->faults[item->fault].id);
    sqlite3_bind_int64(q, 2, show->sections[item->section].id);
    if (item->performer >= 0)
        sqlite3_bind_int64(q, 3, show->performers[item->performer].id);
    bool found = st_row(s, q, &ok, &ignored);
    if (found)
        *out = (struct state_change){
            .state = st_state(q, 0),
            .marks = sqlite3_column_int(q, 1),
            .author = arena_strdup(a, st_column(q, 2)),
            .made_at = sqlite3_column_int64(q, 3),
        };
    sqlite3_reset(q);
    return found;
}

bool store_each_state(struct store *s, void (*fn)(void *ctx, const struct state_row *row),
                      void *ctx, struct err *e)
{
    bool ok = true;
    sqlite3_stmt *q = st_get(s,
                             "SELECT section_id,performer_id,fault_id,state,marks,author,made_at "
                             "FROM item_state ORDER BY made_at,id",
                             e);
    if (!q)
        return false;
    while (st_row(s, q, &ok, e)) {
        const struct state_row row = {
            .section = idmap_find(&s->section_at, sqlite3_column_int64(q, 0)),
            .performer = idmap_find(&s->performer_at, sqlite3_column_int64(q, 1)),
            .fault = idmap_find(&s->fault_at, sqlite3_column_int64(q, 2)),
            .change = {.state = st_state(q, 3),
                       .marks = sqlite3_column_int(q, 4),
                       .author = st_column(q, 5),
                       .made_at = sqlite3_column_int64(q, 6)},
        };
        if (row.section >= 0 && row.fault >= 0)
            fn(ctx, &row);
    }
    return ok;
}

bool store_decide(struct store *s, const struct show *show, int fault, const char *text,
                  struct err *e)
{
    char what[100];
    snprintf(what, sizeof what, "decide %.60s", show->faults[fault].name);
    if (!step_open(s, what, e))
        return false;
    sqlite3_stmt *q = *text ? st_get(s,
                                     "INSERT INTO decision(fault_id,text,author,made_at,uid) "
                                     "VALUES(?1,?2,?3,?4,?5) ON CONFLICT(fault_id) DO UPDATE SET "
                                     "text=?2,author=?3,made_at=?4",
                                     e)
                            : st_get(s, "DELETE FROM decision WHERE fault_id=?1", e);
    if (!q)
        return step_close(s, false, e);
    sqlite3_bind_int64(q, 1, show->faults[fault].id);
    if (*text) {
        st_text(q, 2, text);
        st_text(q, 3, s->author);
        sqlite3_bind_int64(q, 4, clock_wall_ms());
        st_uid(q, 5);
    }
    return step_close(s, st_done(s, q, e), e);
}
