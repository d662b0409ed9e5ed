/* Writing dots: where each performer stands at each set. */
#include "store/inside.h"

static bool put_dot(struct store *s, const struct show *show, const struct dot *d,
                    struct put_report *r, struct err *e)
{
    sqlite3_stmt *q = st_get(s,
                             "INSERT INTO dot VALUES(?1,?2,?3,?4) ON CONFLICT(performer_id,set_id) "
                             "DO UPDATE SET x=?3,y=?4 WHERE x IS NOT ?3 OR y IS NOT ?4",
                             e),
                 *there = st_get(s, "SELECT 1 FROM dot WHERE performer_id=? AND set_id=?", e);
    if (!q || !there)
        return false;
    sqlite3_bind_int64(there, 1, show->performers[d->performer].id);
    sqlite3_bind_int64(there, 2, show->sets[d->set].id);
    bool ok = true, was = st_row(s, there, &ok, e);
    sqlite3_reset(there);
    if (!ok)
        return false;
    sqlite3_bind_int64(q, 1, show->performers[d->performer].id);
    sqlite3_bind_int64(q, 2, show->sets[d->set].id);
    sqlite3_bind_double(q, 3, d->x);
    sqlite3_bind_double(q, 4, d->y);
    if (!st_done(s, q, e))
        return false;
    *(!was ? &r->added : sqlite3_changes(s->db) ? &r->changed : &r->same) += 1;
    return true;
}

bool store_put_dots(struct store *s, const struct dot_list *l, bool keep_others,
                    struct put_report *r, struct err *e)
{
    const struct show *show = l->show;
    *r = (struct put_report){0};
    if (!step_open(s, "add dots", e))
        return false;
    int64_t before = 0;
    sqlite3_stmt *q = st_get(s, "SELECT count(*) FROM dot", e);
    bool ok = q && st_number(s, q, &before, e);
    for (size_t i = 0; ok && i < l->n; i++)
        ok = put_dot(s, show, &l->at[i], r, e);
    if (ok && !keep_others && before > r->changed + r->same) {
        ok = st_run(s,
                    "CREATE TEMP TABLE IF NOT EXISTS kept_dot(p INTEGER, t INTEGER, PRIMARY "
                    "KEY(p,t)); DELETE FROM kept_dot",
                    e);
        for (size_t i = 0; ok && i < l->n; i++) {
            q = st_get(s, "INSERT INTO kept_dot VALUES(?,?)", e);
            ok = q != NULL;
            if (!ok)
                break;
            sqlite3_bind_int64(q, 1, show->performers[l->at[i].performer].id);
            sqlite3_bind_int64(q, 2, show->sets[l->at[i].set].id);
            ok = st_done(s, q, e);
        }
        ok = ok && st_run(s,
                          "DELETE FROM dot WHERE NOT EXISTS (SELECT 1 FROM kept_dot WHERE "
                          "p=performer_id AND t=set_id)",
                          e);
        r->removed = ok ? sqlite3_changes(s->db) : 0;
    }
    return step_close(s, ok, e);
}
