/* A mark that said the wrong thing is put right. */
#include "store/inside.h"
#include "sys/clock.h"

/* The fields of the row that are put right; targets are rows of their own. */
static bool correct_row(struct store *s, const struct show *show, const struct mark *m, bool moved,
                        struct err *e)
{
    sqlite3_stmt *q = st_get(s,
                             "UPDATE mark SET clip_id=?2,at_us=?3,end_us=?4,fault_id=?5,cause=?6,"
                             "late_counts=CASE WHEN ?7 THEN NULL ELSE late_counts END,"
                             "late_error=CASE WHEN ?7 THEN NULL ELSE late_error END,"
                             "measured=CASE WHEN ?7 THEN '' ELSE measured END,"
                             "measured_value=CASE WHEN ?7 THEN NULL ELSE measured_value END,"
                             "measured_error=CASE WHEN ?7 THEN NULL ELSE measured_error END,"
                             "measured_of=CASE WHEN ?7 THEN NULL ELSE measured_of END,"
                             "x=CASE WHEN ?7 THEN NULL ELSE x END,"
                             "y=CASE WHEN ?7 THEN NULL ELSE y END,changed_at=?8 "
                             "WHERE id=?1",
                             e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, m->id);
    sqlite3_bind_int64(q, 2, m->clip);
    sqlite3_bind_int64(q, 3, m->at_us);
    if (m->end_us >= 0)
        sqlite3_bind_int64(q, 4, m->end_us);
    sqlite3_bind_int64(q, 5, show->faults[m->fault].id);
    sqlite3_bind_int(q, 6, m->cause);
    sqlite3_bind_int(q, 7, moved);
    sqlite3_bind_int64(q, 8, clock_wall_ms());
    return st_done(s, q, e);
}

static void put_right(const struct show *show, const struct mark_correction *c, struct mark *m)
{
    if (c->fields & CORRECT_WHO) {
        m->targets = c->targets;
        m->n_targets = c->n_targets;
    }
    if (c->fields & CORRECT_FAULT) {
        if (m->cause == show->faults[m->fault].cause)
            m->cause = show->faults[c->fault].cause;
        m->fault = c->fault;
    }
    if (c->fields & CORRECT_MOMENT) {
        if (m->end_us >= 0)
            m->end_us += c->at_us - m->at_us;
        m->at_us = c->at_us;
        m->clip = c->clip;
    }
}

bool store_mark_correct(struct store *s, const struct show *show, int64_t id,
                        const struct mark_correction *c, struct err *e)
{
    struct arena mem = {0};
    struct mark m;
    if (!step_open(s, "correct a mark", e))
        return false;
    /* Read within the step: what another program changed meanwhile stays. */
    bool ok = store_mark_one(s, &mem, id, &m, e);
    if (ok) {
        put_right(show, c, &m);
        ok = correct_row(s, show, &m, c->fields & CORRECT_MOMENT, e) &&
             mark_targets_renew(s, show, &m, e);
    }
    arena_free(&mem);
    return step_close(s, ok, e);
}
