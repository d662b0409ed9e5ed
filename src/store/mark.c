#include <stdlib.h>
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

/* Times travel in whole milliseconds; frames are further apart. */
enum { SAME_US = 500 };

static void bind_mark(struct store *s, sqlite3_stmt *q, const struct show *show,
                      const struct mark *m)
{
    sqlite3_bind_int64(q, 1, m->clip);
    sqlite3_bind_int64(q, 2, m->at_us);
    if (m->end_us >= 0)
        sqlite3_bind_int64(q, 3, m->end_us);
    sqlite3_bind_int64(q, 4, show->faults[m->fault].id);
    sqlite3_bind_int(q, 5, m->praise);
    sqlite3_bind_int(q, 6, m->severity);
    sqlite3_bind_int(q, 7, m->cause);
    sqlite3_bind_int(q, 8, m->state);
    st_text(q, 9, m->note);
    if (m->set >= 0) {
        sqlite3_bind_int64(q, 10, show->sets[m->set].id);
        sqlite3_bind_double(q, 11, m->count);
    }
    if (m->timed) {
        sqlite3_bind_double(q, 12, m->late_counts);
        sqlite3_bind_double(q, 13, m->late_error);
    }
    st_text(q, 14, m->author ? m->author : s->author);
    sqlite3_bind_int64(q, 15, clock_wall_ms());
    st_bind_measure(q, 17, &m->measure);
    if (m->on_field) {
        sqlite3_bind_double(q, 21, m->x);
        sqlite3_bind_double(q, 22, m->y);
    }
}

static bool put_targets(struct store *s, const struct show *show, const struct mark *m,
                        struct err *e)
{
    sqlite3_stmt *q = st_get(s, "INSERT INTO mark_target VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?)", e);
    for (size_t i = 0; q && i < m->n_targets; i++) {
        sqlite3_reset(q);
        sqlite3_clear_bindings(q);
        sqlite3_bind_int64(q, 1, m->id);
        sqlite3_bind_int(q, 2, (int)i);
        sqlite3_bind_int64(q, 3, show->sections[m->targets[i].section].id);
        if (m->targets[i].performer >= 0)
            sqlite3_bind_int64(q, 4, show->performers[m->targets[i].performer].id);
        sqlite3_bind_int64(q, 5, m->clip);
        sqlite3_bind_int64(q, 6, show->faults[m->fault].id);
        sqlite3_bind_int(q, 7, m->praise);
        sqlite3_bind_int(q, 8, m->severity);
        sqlite3_bind_int(q, 9, m->cause);
        sqlite3_bind_int(q, 10, m->state);
        sqlite3_bind_int64(q, 11, m->at_us);
        if (m->set >= 0)
            sqlite3_bind_int64(q, 12, show->sets[m->set].id);
        sqlite3_bind_int(q, 13, m->n_targets > 1);
        if (!st_done(s, q, e))
            return false;
    }
    return q != NULL;
}

static bool drop_targets(struct store *s, int64_t mark, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "DELETE FROM mark_target WHERE mark_id=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, mark);
    return st_done(s, q, e);
}

bool mark_targets_renew(struct store *s, const struct show *show, const struct mark *m,
                        struct err *e)
{
    return drop_targets(s, m->id, e) && put_targets(s, show, m, e);
}

bool store_mark_add(struct store *s, const struct show *show, struct mark *m, struct err *e)
{
    if (!step_open(s, "a mark", e))
        return false;
    sqlite3_stmt *q =
        st_get(s,
               "INSERT INTO mark(clip_id,at_us,end_us,fault_id,praise,severity,cause,"
               "state,note,set_id,count,late_counts,late_error,author,made_at,"
               "changed_at,uid,measured,measured_value,measured_error,measured_of,x,y,"
               "id) VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14,?15,?15,"
               "?16,?17,?18,?19,?20,?21,?22," FRESH_ID("mark") ")",
               e);
    bool ok = q != NULL;
    if (ok) {
        bind_mark(s, q, show, m);
        st_uid(q, 16);
        ok = st_done(s, q, e);
    }
    if (ok)
        m->id = sqlite3_last_insert_rowid(s->db);
    return step_close(s, ok && put_targets(s, show, m, e), e);
}

/* One statement for any choice of fields: a field that is not to change keeps what is there. */
static bool change_row(struct store *s, int64_t id, const struct mark_change *c, struct err *e)
{
    sqlite3_stmt *q = st_get(s,
                             "UPDATE mark SET severity=coalesce(?2,severity),praise=coalesce(?3,"
                             "praise),cause=coalesce(?4,cause),note=coalesce(?5,note),"
                             "late_counts=coalesce(?6,late_counts),late_error=coalesce(?7,"
                             "late_error),author=coalesce(?8,author),changed_at=?9,"
                             "measured=coalesce(?10,measured),"
                             "measured_value=CASE WHEN ?10 IS NULL THEN measured_value ELSE ?11 "
                             "END,measured_error=CASE WHEN ?10 IS NULL THEN measured_error ELSE "
                             "?12 END,measured_of=CASE WHEN ?10 IS NULL THEN measured_of ELSE ?13 "
                             "END,x=coalesce(?14,x),y=coalesce(?15,y) WHERE id=?1 AND removed_at "
                             "IS NULL",
                             e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    if (c->fields & MARK_SEVERITY)
        sqlite3_bind_int(q, 2, c->severity);
    if (c->fields & MARK_PRAISE)
        sqlite3_bind_int(q, 3, c->praise);
    if (c->fields & MARK_CAUSE)
        sqlite3_bind_int(q, 4, c->cause);
    if (c->fields & MARK_NOTE)
        st_text(q, 5, c->note);
    if (c->fields & MARK_LATE) {
        sqlite3_bind_double(q, 6, c->late_counts);
        sqlite3_bind_double(q, 7, c->late_error);
    }
    if (c->fields & MARK_AUTHOR)
        st_text(q, 8, c->author);
    sqlite3_bind_int64(q, 9, clock_wall_ms());
    if (c->fields & MARK_MEASURE)
        st_bind_measure(q, 10, &c->measure);
    if (c->fields & MARK_PLACE) {
        sqlite3_bind_double(q, 14, c->x);
        sqlite3_bind_double(q, 15, c->y);
    }
    if (!st_done(s, q, e))
        return false;
    return sqlite3_changes(s->db) > 0 || err_set(e, ERR_FAILED, "that mark is not there any more");
}

static bool change_targets(struct store *s, int64_t id, const struct mark_change *c, struct err *e)
{
    if (!(c->fields & (MARK_SEVERITY | MARK_PRAISE | MARK_CAUSE)))
        return true;
    sqlite3_stmt *q = st_get(s,
                             "UPDATE mark_target SET severity=coalesce(?2,severity),praise="
                             "coalesce(?3,praise),cause=coalesce(?4,cause) WHERE mark_id=?1",
                             e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    if (c->fields & MARK_SEVERITY)
        sqlite3_bind_int(q, 2, c->severity);
    if (c->fields & MARK_PRAISE)
        sqlite3_bind_int(q, 3, c->praise);
    if (c->fields & MARK_CAUSE)
        sqlite3_bind_int(q, 4, c->cause);
    return st_done(s, q, e);
}

bool store_mark_change(struct store *s, int64_t id, const struct mark_change *c, struct err *e)
{
    return step_open(s, "change a mark", e) &&
           step_close(s, change_row(s, id, c, e) && change_targets(s, id, c, e), e);
}

bool store_mark_remove(struct store *s, int64_t id, struct err *e)
{
    if (!step_open(s, "remove a mark", e))
        return false;
    sqlite3_stmt *q = st_get(
        s, "UPDATE mark SET removed_at=?1,changed_at=?1 WHERE id=?2 AND removed_at IS NULL", e);
    bool ok = q != NULL;
    if (ok) {
        sqlite3_bind_int64(q, 1, clock_wall_ms());
        sqlite3_bind_int64(q, 2, id);
        ok = st_done(s, q, e);
    }
    if (ok && sqlite3_changes(s->db) == 0)
        ok = err_set(e, ERR_FAILED, "that mark is not there any more");
    return step_close(s, ok && drop_targets(s, id, e), e);
}

bool store_mark_newest(struct store *s, int64_t *out, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "SELECT coalesce(max(id),0) FROM mark", e);
    return q && st_number(s, q, out, e);
}

/* Does the stored mark name exactly these targets, in any order? */
static bool same_targets(struct store *s, const struct show *show, int64_t id, const struct mark *m,
                         bool *same, struct err *e)
{
    sqlite3_stmt *q =
        st_get(s, "SELECT section_id,performer_id FROM mark_target WHERE mark_id=?", e);
    size_t n = 0;
    bool ok = q != NULL;
    *same = ok;
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    for (; st_row(s, q, &ok, e); n++) {
        bool found = false;
        for (size_t i = 0; i < m->n_targets; i++) {
            int p = m->targets[i].performer;
            found |= show->sections[m->targets[i].section].id == sqlite3_column_int64(q, 0) &&
                     (p >= 0 ? show->performers[p].id : 0) == sqlite3_column_int64(q, 1);
        }
        *same &= found;
    }
    *same &= n == m->n_targets;
    return ok;
}

bool store_mark_same(struct store *s, const struct show *show, struct mark *m, int64_t newest,
                     struct err *e)
{
    bool same = false;
    sqlite3_stmt *q =
        st_get(s,
               "SELECT id,state,at_us FROM mark WHERE clip_id=?1 AND at_us BETWEEN ?2-?6 "
               "AND ?2+?6 AND fault_id=?3 AND praise=?4 AND id<=?5 AND removed_at IS "
               "NULL ORDER BY abs(at_us-?2)",
               e);
    bool ok = q != NULL;
    m->id = 0;
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, m->clip);
    sqlite3_bind_int64(q, 2, m->at_us);
    sqlite3_bind_int64(q, 3, show->faults[m->fault].id);
    sqlite3_bind_int(q, 4, m->praise);
    sqlite3_bind_int64(q, 5, newest);
    sqlite3_bind_int(q, 6, SAME_US);
    while (ok && !same && st_row(s, q, &ok, e)) {
        ok = same_targets(s, show, sqlite3_column_int64(q, 0), m, &same, e);
        if (!ok || !same)
            continue;
        m->id = sqlite3_column_int64(q, 0);
        m->state = st_state(q, 1);
        m->at_us = sqlite3_column_int64(q, 2);
    }
    sqlite3_reset(q);
    return ok;
}

static struct mark mark_row(struct store *s, struct arena *a, sqlite3_stmt *q)
{
    struct mark m = {
        .id = sqlite3_column_int64(q, 0),
        .clip = sqlite3_column_int64(q, 1),
        .at_us = sqlite3_column_int64(q, 2),
        .end_us = sqlite3_column_type(q, 3) == SQLITE_NULL ? -1 : sqlite3_column_int64(q, 3),
        .fault = idmap_find(&s->fault_at, sqlite3_column_int64(q, 4)),
        .praise = sqlite3_column_int(q, 5),
        .severity = sqlite3_column_int(q, 6),
        .cause = sqlite3_column_int(q, 7) ? CAUSE_DEFINE : CAUSE_EXECUTE,
        .state = st_state(q, 8),
        .note = arena_strdup(a, st_column(q, 9)),
        .set = idmap_find(&s->set_at, sqlite3_column_int64(q, 10)),
        .count = sqlite3_column_double(q, 11),
        .timed = sqlite3_column_type(q, 12) != SQLITE_NULL,
        .late_counts = sqlite3_column_double(q, 12),
        .late_error = sqlite3_column_double(q, 13),
        .author = arena_strdup(a, st_column(q, 14)),
        .measure = st_measure(q, 15),
    };
    m.on_field = st_place(q, 19, &m.x, &m.y);
    return m;
}

static bool read_targets(struct store *s, struct arena *a, struct mark *m, struct err *e)
{
    sqlite3_stmt *q = st_get(
        s, "SELECT section_id,performer_id FROM mark_target WHERE mark_id=? ORDER BY place", e);
    if (!q)
        return false;
    struct target *t = NULL;
    size_t n = 0, cap = 0;
    bool ok = true;
    sqlite3_bind_int64(q, 1, m->id);
    while (st_row(s, q, &ok, e)) {
        struct target one = {idmap_find(&s->section_at, sqlite3_column_int64(q, 0)),
                             idmap_find(&s->performer_at, sqlite3_column_int64(q, 1))};
        t = array_grow(t, n, &cap, sizeof *t);
        if (one.section >= 0)
            t[n++] = one;
    }
    struct target *kept = arena_alloc(a, n * sizeof *kept);
    if (n)
        memcpy(kept, t, n * sizeof *kept);
    free(t);
    m->targets = kept;
    m->n_targets = n;
    return ok;
}

#define MARK_COLUMNS                                                                               \
    "id,clip_id,at_us,end_us,fault_id,praise,severity,cause,state,note,set_id,count,late_counts,"  \
    "late_error,author,measured,measured_value,measured_error,measured_of,x,y"

/* Takes rows of MARK_COLUMNS to the end. */
static bool take_marks(struct store *s, struct arena *a, sqlite3_stmt *q, struct mark_list *out,
                       struct err *e)
{
    struct mark *at = NULL;
    size_t cap = 0;
    bool ok = true;
    while (ok && st_row(s, q, &ok, e)) {
        at = array_grow(at, out->n, &cap, sizeof *at);
        at[out->n] = mark_row(s, a, q);
        if (at[out->n].fault >= 0)
            ok = read_targets(s, a, &at[out->n++], e);
    }
    sqlite3_reset(q);
    out->at = arena_take(a, at, out->n * sizeof *at);
    return ok;
}

bool store_marks(struct store *s, struct arena *a, int64_t clip, struct mark_list *out,
                 struct err *e)
{
    *out = (struct mark_list){0};
    sqlite3_stmt *q = st_get(s,
                             "SELECT " MARK_COLUMNS " FROM mark WHERE clip_id=? AND removed_at IS "
                             "NULL ORDER BY at_us,id",
                             e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    return take_marks(s, a, q, out, e);
}

#define BEHIND                                                                                     \
    "clip_id=?1 AND removed_at IS NULL AND at_us>=?2 AND (at_us>?2 OR id>?3) ORDER BY at_us,id "   \
    "LIMIT ?4"

static void bind_after(sqlite3_stmt *q, const struct store_after *after)
{
    sqlite3_bind_int64(q, 1, after->clip);
    sqlite3_bind_int64(q, 2, after->at_us);
    sqlite3_bind_int64(q, 3, after->id);
    sqlite3_bind_int(q, 4, after->most);
}

bool store_call_times(struct store *s, const struct store_after *after, struct store_call *out,
                      size_t *n, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "SELECT at_us,id FROM mark INDEXED BY mark_shown WHERE " BEHIND, e);
    bool ok = q != NULL;
    *n = 0;
    if (!q)
        return false;
    bind_after(q, after);
    while (st_row(s, q, &ok, e))
        out[(*n)++] = (struct store_call){sqlite3_column_int64(q, 0), sqlite3_column_int64(q, 1)};
    return ok;
}

bool store_marks_after(struct store *s, struct arena *a, struct store_after *after,
                       struct mark_list *out, struct err *e)
{
    struct store_call *at = xcalloc((size_t)after->most + 1, sizeof *at);
    struct mark *m = NULL;
    size_t cap = 0, rows = 0;
    *out = (struct mark_list){0};
    bool ok = store_call_times(s, after, at, &rows, e);
    for (size_t i = 0; ok && i < rows; i++) {
        struct err gone;
        m = array_grow(m, out->n, &cap, sizeof *m);
        if (store_mark_one(s, a, at[i].id, &m[out->n], &gone))
            out->n++;
        else if (gone.code != ERR_INPUT) {
            *e = gone;
            ok = false;
        }
    }
    after->last = rows < (size_t)after->most;
    if (rows) {
        after->at_us = at[rows - 1].at_us;
        after->id = at[rows - 1].id;
    }
    free(at);
    out->at = arena_take(a, m, out->n * sizeof *m);
    return ok;
}

bool store_mark_one(struct store *s, struct arena *a, int64_t id, struct mark *out, struct err *e)
{
    struct mark_list l = {0};
    sqlite3_stmt *q =
        st_get(s, "SELECT " MARK_COLUMNS " FROM mark WHERE id=? AND removed_at IS NULL", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    if (!take_marks(s, a, q, &l, e))
        return false;
    if (l.n == 0)
        return err_set(e, ERR_INPUT, "that mark is not there any more");
    *out = l.at[0];
    return true;
}

bool store_calls_beyond(struct store *s, int64_t clip, int64_t us, int64_t *out, struct err *e)
{
    sqlite3_stmt *q = st_get(
        s, "SELECT count(*) FROM mark WHERE clip_id=? AND removed_at IS NULL AND at_us>?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    sqlite3_bind_int64(q, 2, us);
    return st_number(s, q, out, e);
}

bool store_mark_words(struct store *s, struct arena *a, int64_t mark, struct mark_words *out,
                      struct err *e)
{
    bool ok = true;
    *out = (struct mark_words){.uid = "", .note = ""};
    sqlite3_stmt *q =
        st_get(s,
               "SELECT count,note,made_at,late_counts,late_error,lower(hex(uid)),measured,"
               "measured_value,measured_error,measured_of,x,y FROM mark WHERE id=?",
               e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, mark);
    if (st_row(s, q, &ok, e)) {
        out->count = sqlite3_column_double(q, 0);
        out->note = arena_strdup(a, st_column(q, 1));
        out->made_at = sqlite3_column_int64(q, 2);
        out->timed = sqlite3_column_type(q, 3) != SQLITE_NULL;
        out->late_counts = sqlite3_column_double(q, 3);
        out->late_error = sqlite3_column_double(q, 4);
        out->uid = arena_strdup(a, st_column(q, 5));
        out->measure = st_measure(q, 6);
        out->on_field = st_place(q, 10, &out->x, &out->y);
        sqlite3_reset(q);
    }
    struct mark of = {.id = mark};
    ok = ok && read_targets(s, a, &of, e);
    out->targets = of.targets;
    out->n_targets = of.n_targets;
    return ok;
}
