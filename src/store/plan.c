#include <stdlib.h>
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

static bool put_fixes(struct store *s, const struct show *show, const struct rep_plan *p, int place,
                      struct err *e)
{
    const struct rep_block *b = &p->blocks[place];
    for (size_t i = 0; i < b->n_fixes; i++) {
        sqlite3_stmt *q = st_get(s, "INSERT OR IGNORE INTO rep_fix VALUES(?,?,?,?,?)", e);
        if (!q)
            return false;
        sqlite3_bind_int64(q, 1, p->id);
        sqlite3_bind_int(q, 2, place);
        sqlite3_bind_int64(q, 3, show->sections[b->fixes[i].section].id);
        sqlite3_bind_int64(q, 4, show->faults[b->fixes[i].fault].id);
        sqlite3_bind_int(q, 5, b->fixes[i].marks);
        if (!st_done(s, q, e))
            return false;
    }
    return true;
}

static bool put_block(struct store *s, const struct rep_plan *p, int place, struct err *e)
{
    const struct rep_block *b = &p->blocks[place];
    sqlite3_stmt *q = st_get(s,
                             "INSERT INTO rep_block(plan_id,place,start_s,seconds,kind,who,sets,"
                             "what,reps,block,part,begins_s,works_s,rep_s,setup_s,walk_s,counts,"
                             "bpm_low,bpm_high,gain,kept,cautions) "
                             "VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
                             e);
    if (!q)
        return false;
    const int first[] = {place, b->start_s, b->seconds, b->kind};
    const int numbers[] = {b->reps,  b->block,   b->part,   b->begins_s, b->works_s,
                           b->rep_s, b->setup_s, b->walk_s, b->counts};
    const double reals[] = {b->bpm_low, b->bpm_high, b->gain};
    int at = 1;
    sqlite3_bind_int64(q, at++, p->id);
    for (size_t i = 0; i < sizeof first / sizeof *first; i++)
        sqlite3_bind_int(q, at++, first[i]);
    st_text(q, at++, b->who);
    st_text(q, at++, b->sets);
    st_text(q, at++, b->what);
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        sqlite3_bind_int(q, at++, numbers[i]);
    for (size_t i = 0; i < sizeof reals / sizeof *reals; i++)
        sqlite3_bind_double(q, at++, reals[i]);
    sqlite3_bind_int(q, at++, b->kept);
    if (b->cautions)
        st_text(q, at, b->cautions);
    return st_done(s, q, e);
}

/* Deletes plans of that date of which no block was ticked off. */
static bool drop_unticked(struct store *s, const char *date, struct err *e)
{
    static const char *const deletes[] = {
        "DELETE FROM rep_fix WHERE plan_id IN (SELECT id FROM rep_plan WHERE date=?1 AND id NOT IN "
        "(SELECT plan_id FROM rep_block WHERE reps_made IS NOT NULL))",
        "DELETE FROM rep_block WHERE plan_id IN (SELECT id FROM rep_plan WHERE date=?1 AND id NOT "
        "IN (SELECT plan_id FROM rep_block WHERE reps_made IS NOT NULL))",
        "DELETE FROM rep_plan WHERE date=?1 AND id NOT IN (SELECT plan_id FROM rep_block)",
    };
    for (size_t i = 0; i < sizeof deletes / sizeof *deletes; i++) {
        sqlite3_stmt *q = st_get(s, deletes[i], e);
        if (!q)
            return false;
        st_text(q, 1, date);
        if (!st_done(s, q, e))
            return false;
    }
    return true;
}

static bool put_plan(struct store *s, struct rep_plan *p, struct err *e)
{
    sqlite3_stmt *q = st_get(
        s,
        "INSERT INTO rep_plan(id,date,start_min,minutes,gain,author,made_at,uid,asked,wishes,"
        "cautions,open_weight) VALUES(" FRESH_ID("rep_plan") ",?,?,?,?,?,?,?,?,?,?,?)",
        e);
    if (!q)
        return false;
    st_text(q, 1, p->date);
    sqlite3_bind_int(q, 2, p->start_min);
    sqlite3_bind_int(q, 3, p->minutes);
    sqlite3_bind_double(q, 4, p->gain);
    st_text(q, 5, s->author);
    sqlite3_bind_int64(q, 6, clock_wall_ms());
    st_uid(q, 7);
    st_text(q, 8, p->asked);
    st_text(q, 9, p->wishes);
    st_text(q, 10, p->cautions);
    sqlite3_bind_double(q, 11, p->open_weight);
    if (!st_done(s, q, e))
        return false;
    p->id = sqlite3_last_insert_rowid(s->db);
    return true;
}

bool store_plan_put(struct store *s, const struct show *show, struct rep_plan *p, struct err *e)
{
    if (!step_open(s, NULL, e))
        return false;
    bool ok = drop_unticked(s, p->date, e) && put_plan(s, p, e);
    for (int i = 0; ok && i < (int)p->n_blocks; i++)
        ok = put_block(s, p, i, e) && put_fixes(s, show, p, i, e);
    return step_close(s, ok, e);
}

static bool read_fixes(struct store *s, struct arena *a, int64_t plan, int place,
                       struct rep_block *b, struct err *e)
{
    struct rep_fix fixes[200];
    sqlite3_stmt *q =
        st_get(s, "SELECT section_id,fault_id,marks FROM rep_fix WHERE plan_id=? AND place=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, plan);
    sqlite3_bind_int(q, 2, place);
    bool ok = true;
    while (b->n_fixes < sizeof fixes / sizeof *fixes && st_row(s, q, &ok, e)) {
        struct rep_fix f = {idmap_find(&s->section_at, sqlite3_column_int64(q, 0)),
                            idmap_find(&s->fault_at, sqlite3_column_int64(q, 1)),
                            sqlite3_column_int(q, 2)};
        if (f.section >= 0 && f.fault >= 0)
            fixes[b->n_fixes++] = f;
    }
    sqlite3_reset(q);
    struct rep_fix *kept = arena_alloc(a, b->n_fixes * sizeof *kept);
    memcpy(kept, fixes, b->n_fixes * sizeof *kept);
    b->fixes = kept;
    return ok;
}

static struct rep_block block_of(sqlite3_stmt *q, struct arena *a)
{
    return (struct rep_block){
        .start_s = sqlite3_column_int(q, 0),
        .seconds = sqlite3_column_int(q, 1),
        .kind = sqlite3_column_int(q, 2),
        .who = arena_strdup(a, st_column(q, 3)),
        .sets = arena_strdup(a, st_column(q, 4)),
        .what = arena_strdup(a, st_column(q, 5)),
        .reps = sqlite3_column_int(q, 6),
        .reps_made = sqlite3_column_type(q, 7) == SQLITE_NULL ? -1 : sqlite3_column_int(q, 7),
        .block = sqlite3_column_int(q, 8),
        .part = sqlite3_column_int(q, 9),
        .begins_s = sqlite3_column_int(q, 10),
        .works_s = sqlite3_column_int(q, 11),
        .rep_s = sqlite3_column_int(q, 12),
        .setup_s = sqlite3_column_int(q, 13),
        .walk_s = sqlite3_column_int(q, 14),
        .counts = sqlite3_column_int(q, 15),
        .bpm_low = sqlite3_column_double(q, 16),
        .bpm_high = sqlite3_column_double(q, 17),
        .gain = sqlite3_column_double(q, 18),
        .kept = sqlite3_column_int(q, 19) != 0,
        .cautions =
            sqlite3_column_type(q, 20) == SQLITE_NULL ? NULL : arena_strdup(a, st_column(q, 20)),
    };
}

static bool read_blocks(struct store *s, struct arena *a, struct rep_plan *p, struct err *e)
{
    sqlite3_stmt *q =
        st_get(s,
               "SELECT start_s,seconds,kind,who,sets,what,reps,reps_made,block,part,begins_s,"
               "works_s,rep_s,setup_s,walk_s,counts,bpm_low,bpm_high,gain,kept,cautions FROM "
               "rep_block "
               "WHERE plan_id=? ORDER BY place",
               e);
    if (!q)
        return false;
    size_t cap = 0;
    struct rep_block *at = NULL;
    sqlite3_bind_int64(q, 1, p->id);
    bool ok = true;
    while (st_row(s, q, &ok, e)) {
        at = array_grow(at, p->n_blocks, &cap, sizeof *at);
        at[p->n_blocks++] = block_of(q, a);
    }
    for (int i = 0; ok && i < (int)p->n_blocks; i++)
        ok = read_fixes(s, a, p->id, i, &at[i], e);
    p->blocks = arena_take(a, at, p->n_blocks * sizeof *at);
    return ok;
}

#define PLAN_COLUMNS "id,date,start_min,minutes,gain,asked,wishes,cautions,open_weight,made_at"

static bool take_plan(struct store *s, struct arena *a, sqlite3_stmt *q, struct rep_plan *out,
                      bool *found, struct err *e)
{
    bool ok = true;
    *found = st_row(s, q, &ok, e);
    if (*found)
        *out = (struct rep_plan){.id = sqlite3_column_int64(q, 0),
                                 .date = arena_strdup(a, st_column(q, 1)),
                                 .start_min = sqlite3_column_int(q, 2),
                                 .minutes = sqlite3_column_int(q, 3),
                                 .gain = sqlite3_column_double(q, 4),
                                 .asked = arena_strdup(a, st_column(q, 5)),
                                 .wishes = arena_strdup(a, st_column(q, 6)),
                                 .cautions = arena_strdup(a, st_column(q, 7)),
                                 .open_weight = sqlite3_column_double(q, 8),
                                 .made_at = sqlite3_column_int64(q, 9)};
    sqlite3_reset(q);
    return ok;
}

bool store_plan(struct store *s, struct arena *a, const char *date, struct rep_plan *out,
                struct err *e)
{
    bool found;
    *out = (struct rep_plan){0};
    sqlite3_stmt *q = st_get(s,
                             "SELECT " PLAN_COLUMNS " FROM rep_plan WHERE ?1 IS NULL "
                             "OR date=?1 ORDER BY date DESC,id DESC LIMIT 1",
                             e);
    if (!q)
        return false;
    if (date)
        st_text(q, 1, date);
    if (!take_plan(s, a, q, out, &found, e))
        return false;
    if (!found)
        return err_set(e, ERR_INPUT,
                       "no plan%s%s is stored; make one: boxcall plan SHOW --minutes 90",
                       date ? " of " : "", date ? date : "");
    return read_blocks(s, a, out, e);
}

bool store_plan_before(struct store *s, struct arena *a, const struct rep_plan *of,
                       struct rep_plan *out, struct err *e)
{
    bool found;
    *out = (struct rep_plan){0};
    sqlite3_stmt *q = st_get(s,
                             "SELECT " PLAN_COLUMNS " FROM rep_plan WHERE date=?1 AND id<?2 ORDER "
                             "BY id DESC LIMIT 1",
                             e);
    if (!q)
        return false;
    st_text(q, 1, of->date);
    sqlite3_bind_int64(q, 2, of->id);
    if (!take_plan(s, a, q, out, &found, e))
        return false;
    if (!found)
        return err_set(e, ERR_INPUT, "no earlier plan of %s is stored", of->date);
    return read_blocks(s, a, out, e);
}

bool store_plan_row(struct store *s, struct arena *a, int64_t id, struct rep_plan *out,
                    struct err *e)
{
    bool found;
    *out = (struct rep_plan){0};
    sqlite3_stmt *q = st_get(s, "SELECT " PLAN_COLUMNS " FROM rep_plan WHERE id=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    if (!take_plan(s, a, q, out, &found, e))
        return false;
    if (!found)
        return err_set(e, ERR_INPUT, "that plan is not stored any more; another took its place");
    return read_blocks(s, a, out, e);
}

bool store_each_rep(struct store *s, void (*fn)(void *ctx, const struct rep_row *row), void *ctx,
                    struct err *e)
{
    bool ok = true;
    sqlite3_stmt *q =
        st_get(s,
               "SELECT p.date,b.plan_id,b.place,b.reps_made,f.section_id,f.fault_id FROM rep_block "
               "b JOIN rep_plan p ON p.id=b.plan_id JOIN rep_fix f ON f.plan_id=b.plan_id AND "
               "f.place=b.place WHERE b.reps_made>0 ORDER BY p.date,b.plan_id,b.place",
               e);
    if (!q)
        return false;
    while (st_row(s, q, &ok, e)) {
        const struct rep_row row = {
            .date = st_column(q, 0),
            .plan = sqlite3_column_int64(q, 1),
            .place = sqlite3_column_int(q, 2),
            .reps = sqlite3_column_int(q, 3),
            .section = idmap_find(&s->section_at, sqlite3_column_int64(q, 4)),
            .fault = idmap_find(&s->fault_at, sqlite3_column_int64(q, 5)),
        };
        if (row.section >= 0 && row.fault >= 0)
            fn(ctx, &row);
    }
    return ok;
}

bool store_plan_tick(struct store *s, int64_t plan, int place, int reps_made, struct err *e)
{
    if (!step_open(s, reps_made < 0 ? "untick a block" : "tick a block", e))
        return false;
    sqlite3_stmt *q =
        st_get(s, "UPDATE rep_block SET reps_made=?3,done_at=?4 WHERE plan_id=?1 AND place=?2", e);
    if (!q)
        return step_close(s, false, e);
    sqlite3_bind_int64(q, 1, plan);
    sqlite3_bind_int(q, 2, place);
    if (reps_made >= 0) {
        sqlite3_bind_int(q, 3, reps_made);
        sqlite3_bind_int64(q, 4, clock_wall_ms());
    }
    bool ok = st_done(s, q, e) &&
              (sqlite3_changes(s->db) > 0 ||
               err_set(e, ERR_FAILED, "that plan is not stored any more; another took its place"));
    return step_close(s, ok, e);
}

bool store_plan_drop(struct store *s, const char *date, struct err *e)
{
    return step_open(s, NULL, e) && step_close(s, drop_unticked(s, date, e), e);
}
