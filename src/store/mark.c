#include <stdlib.h>
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

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

static bool finish(struct store *s, bool ok, struct err *e)
{
    if (ok)
        return store_commit(s, e);
    store_rollback(s);
    return false;
}

bool store_mark_add(struct store *s, const struct show *show, struct mark *m, struct err *e)
{
    if (!store_begin(s, NULL, e))
        return false;
    sqlite3_stmt *q = st_get(s,
                             "INSERT INTO mark(clip_id,at_us,end_us,fault_id,praise,severity,cause,"
                             "state,note,set_id,count,late_counts,late_error,author,made_at,"
                             "changed_at,uid) VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,"
                             "?14,?15,?15,?16)",
                             e);
    bool ok = q != NULL;
    if (ok) {
        bind_mark(s, q, show, m);
        st_uid(q, 16);
        ok = st_done(s, q, e);
    }
    if (ok) {
        m->id = sqlite3_last_insert_rowid(s->db);
        ok = put_targets(s, show, m, e);
    }
    return finish(s, ok, e);
}

bool store_mark_update(struct store *s, const struct show *show, const struct mark *m,
                       struct err *e)
{
    if (!store_begin(s, NULL, e))
        return false;
    sqlite3_stmt *q =
        st_get(s,
               "UPDATE mark SET clip_id=?1,at_us=?2,end_us=?3,fault_id=?4,praise=?5,"
               "severity=?6,cause=?7,state=?8,note=?9,set_id=?10,count=?11,"
               "late_counts=?12,late_error=?13,author=?14,changed_at=?15 WHERE id=?16 "
               "AND removed_at IS NULL",
               e);
    bool ok = q != NULL;
    if (ok) {
        bind_mark(s, q, show, m);
        sqlite3_bind_int64(q, 16, m->id);
        ok = st_done(s, q, e);
    }
    if (ok && sqlite3_changes(s->db) == 0)
        ok = err_set(e, ERR_FAILED, "that mark is not there any more");
    ok = ok && drop_targets(s, m->id, e) && put_targets(s, show, m, e);
    return finish(s, ok, e);
}

bool store_mark_remove(struct store *s, int64_t id, struct err *e)
{
    if (!store_begin(s, NULL, e))
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
    return finish(s, ok && drop_targets(s, id, e), e);
}

int64_t store_mark_newest(struct store *s)
{
    struct err ignored;
    sqlite3_stmt *q = st_get(s, "SELECT coalesce(max(id),0) FROM mark", &ignored);
    int64_t id = q && sqlite3_step(q) == SQLITE_ROW ? sqlite3_column_int64(q, 0) : 0;
    if (q)
        sqlite3_reset(q);
    return id;
}

/* Does the stored mark name exactly these targets, in any order? */
static bool same_targets(struct store *s, const struct show *show, int64_t id, const struct mark *m)
{
    struct err ignored;
    sqlite3_stmt *q =
        st_get(s, "SELECT section_id,performer_id FROM mark_target WHERE mark_id=?", &ignored);
    size_t n = 0;
    bool same = q != NULL;
    if (q)
        sqlite3_bind_int64(q, 1, id);
    for (; same && sqlite3_step(q) == SQLITE_ROW; n++) {
        bool found = false;
        for (size_t i = 0; i < m->n_targets; i++) {
            int p = m->targets[i].performer;
            found |= show->sections[m->targets[i].section].id == sqlite3_column_int64(q, 0) &&
                     (p >= 0 ? show->performers[p].id : 0) == sqlite3_column_int64(q, 1);
        }
        same = found;
    }
    if (q)
        sqlite3_reset(q);
    return same && n == m->n_targets;
}

bool store_mark_same(struct store *s, const struct show *show, struct mark *m, int64_t newest)
{
    struct err ignored;
    sqlite3_stmt *q = st_get(s,
                             "SELECT id,state FROM mark WHERE clip_id=? AND at_us=? AND fault_id=? "
                             "AND praise=? AND id<=? AND removed_at IS NULL",
                             &ignored);
    bool same = false;
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, m->clip);
    sqlite3_bind_int64(q, 2, m->at_us);
    sqlite3_bind_int64(q, 3, show->faults[m->fault].id);
    sqlite3_bind_int(q, 4, m->praise);
    sqlite3_bind_int64(q, 5, newest);
    while (!same && sqlite3_step(q) == SQLITE_ROW) {
        same = same_targets(s, show, sqlite3_column_int64(q, 0), m);
        if (!same)
            continue;
        m->id = sqlite3_column_int64(q, 0);
        m->state = (enum mark_state)sqlite3_column_int(q, 1);
    }
    sqlite3_reset(q);
    return same;
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
    };
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
    int rc;
    sqlite3_bind_int64(q, 1, m->id);
    while ((rc = sqlite3_step(q)) == SQLITE_ROW) {
        struct target one = {idmap_find(&s->section_at, sqlite3_column_int64(q, 0)),
                             idmap_find(&s->performer_at, sqlite3_column_int64(q, 1))};
        t = array_grow(t, n, &cap, sizeof *t);
        if (one.section >= 0)
            t[n++] = one;
    }
    sqlite3_reset(q);
    struct target *kept = arena_alloc(a, n * sizeof *kept);
    if (n)
        memcpy(kept, t, n * sizeof *kept);
    free(t);
    m->targets = kept;
    m->n_targets = n;
    return rc == SQLITE_DONE || st_fail(s, e);
}

bool store_marks(struct store *s, struct arena *a, int64_t clip, struct mark_list *out,
                 struct err *e)
{
    *out = (struct mark_list){0};
    sqlite3_stmt *q = st_get(s,
                             "SELECT id,clip_id,at_us,end_us,fault_id,praise,severity,cause,state,"
                             "note,set_id,count,late_counts,late_error,author FROM mark WHERE "
                             "clip_id=? AND removed_at IS NULL ORDER BY at_us,id",
                             e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    struct mark *at = NULL;
    size_t cap = 0;
    int rc;
    bool ok = true;
    while (ok && (rc = sqlite3_step(q)) == SQLITE_ROW) {
        at = array_grow(at, out->n, &cap, sizeof *at);
        at[out->n] = mark_row(s, a, q);
        if (at[out->n].fault >= 0)
            ok = read_targets(s, a, &at[out->n++], e);
    }
    ok = ok && (rc == SQLITE_DONE || st_fail(s, e));
    sqlite3_reset(q);
    out->at = arena_take(a, at, out->n * sizeof *at);
    return ok;
}

bool store_mark_count(struct store *s, int64_t clip, int64_t *out, struct err *e)
{
    sqlite3_stmt *q =
        st_get(s, "SELECT count(*) FROM mark WHERE clip_id=? AND removed_at IS NULL", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    *out = sqlite3_step(q) == SQLITE_ROW ? sqlite3_column_int64(q, 0) : 0;
    sqlite3_reset(q);
    return true;
}

bool store_mark_words(struct store *s, struct arena *a, int64_t mark, double *count,
                      const char **note, struct err *e)
{
    *count = 0;
    *note = "";
    sqlite3_stmt *q = st_get(s, "SELECT count,note FROM mark WHERE id=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, mark);
    if (sqlite3_step(q) == SQLITE_ROW) {
        *count = sqlite3_column_double(q, 0);
        *note = arena_strdup(a, st_column(q, 1));
    }
    sqlite3_reset(q);
    return true;
}
