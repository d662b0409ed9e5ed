#include "store/rep_history.h"

#include "store/inside.h"

bool store_each_rep_made(struct store *s, void (*fn)(void *ctx, const struct rep_made *row),
                         void *ctx, struct err *e)
{
    bool ok = true;
    sqlite3_stmt *q =
        st_get(s,
               "SELECT p.date,p.made_at,b.kind,b.sets,b.reps_made,(SELECT count(*) FROM rep_fix n "
               "WHERE n.plan_id=b.plan_id AND n.place=b.place),f.section_id,f.fault_id FROM "
               "rep_block b JOIN rep_plan p ON p.id=b.plan_id JOIN rep_fix f ON "
               "f.plan_id=b.plan_id AND f.place=b.place ORDER BY p.date,b.plan_id,b.place",
               e);
    if (!q)
        return false;
    while (st_row(s, q, &ok, e)) {
        const struct rep_made row = {
            .date = st_column(q, 0),
            .made_at = sqlite3_column_int64(q, 1),
            .kind = sqlite3_column_int(q, 2),
            .sets = st_column(q, 3),
            .reps = sqlite3_column_int(q, 4),
            .fixes = sqlite3_column_int(q, 5),
            .section = idmap_find(&s->section_at, sqlite3_column_int64(q, 6)),
            .fault = idmap_find(&s->fault_at, sqlite3_column_int64(q, 7)),
        };
        if (row.section >= 0 && row.fault >= 0 && row.reps > 0) /* NULL, not ticked, is 0 */
            fn(ctx, &row);
    }
    return ok;
}

bool store_each_clip_made(struct store *s, void (*fn)(void *ctx, int64_t clip, int64_t made_at),
                          void *ctx, struct err *e)
{
    bool ok = true;
    sqlite3_stmt *q = st_get(s, "SELECT id,made_at FROM clip WHERE removed_at IS NULL", e);
    if (!q)
        return false;
    while (st_row(s, q, &ok, e))
        fn(ctx, sqlite3_column_int64(q, 0), sqlite3_column_int64(q, 1));
    return ok;
}
