#include <stdlib.h>
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

bool store_ties(struct store *s, struct arena *a, int64_t clip, struct tie_list *out, struct err *e)
{
    *out = (struct tie_list){0};
    sqlite3_stmt *q = st_get(
        s, "SELECT at_us,set_id,count,flags,error_us FROM anchor WHERE clip_id=? ORDER BY at_us",
        e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    struct tie *at = NULL;
    size_t cap = 0;
    bool ok = true;
    while (st_row(s, q, &ok, e)) {
        struct tie t = {
            .at_us = sqlite3_column_int64(q, 0),
            .set = idmap_find(&s->set_at, sqlite3_column_int64(q, 1)),
            .count = sqlite3_column_double(q, 2),
            .flags = (unsigned)sqlite3_column_int(q, 3),
            .error_us = sqlite3_column_int64(q, 4),
        };
        if (t.set < 0)
            continue; /* its set is no longer in the table */
        at = array_grow(at, out->n, &cap, sizeof *at);
        at[out->n++] = t;
    }
    out->at = arena_take(a, at, out->n * sizeof *at);
    return ok;
}

bool store_tie_put(struct store *s, const struct show *show, int64_t clip, const struct tie *t,
                   struct err *e)
{
    if (!step_open(s, "tie", e))
        return false;
    sqlite3_stmt *q =
        st_get(s,
               "INSERT INTO anchor(clip_id,at_us,set_id,count,flags,author,made_at,"
               "changed_at,uid,error_us,id) VALUES(?1,?2,?3,?4,?5,?6,?7,?7,?8,?9," FRESH_ID(
                   "anchor") ") ON "
                             "CONFLICT(clip_id,at_us) DO UPDATE SET set_id=?3,count=?4,flags=?5,"
                             "author=?6,changed_at=?7,error_us=?9",
               e);
    if (!q)
        return step_close(s, false, e);
    sqlite3_bind_int64(q, 1, clip);
    sqlite3_bind_int64(q, 2, t->at_us);
    sqlite3_bind_int64(q, 3, show->sets[t->set].id);
    sqlite3_bind_double(q, 4, t->count);
    sqlite3_bind_int(q, 5, (int)t->flags);
    st_text(q, 6, s->author);
    sqlite3_bind_int64(q, 7, clock_wall_ms());
    st_uid(q, 8);
    sqlite3_bind_int64(q, 9, t->error_us);
    return step_close(s, st_done(s, q, e), e);
}

bool store_tie_remove(struct store *s, int64_t clip, int64_t at_us, struct err *e)
{
    if (!step_open(s, "untie", e))
        return false;
    sqlite3_stmt *q = st_get(s, "DELETE FROM anchor WHERE clip_id=? AND at_us=?", e);
    if (!q)
        return step_close(s, false, e);
    sqlite3_bind_int64(q, 1, clip);
    sqlite3_bind_int64(q, 2, at_us);
    bool ok = st_done(s, q, e) &&
              (sqlite3_changes(s->db) > 0 || err_set(e, ERR_INPUT, "there is no tie at that time"));
    return step_close(s, ok, e);
}

static bool place_one(struct store *s, int64_t mark, int64_t set_id, double count, struct err *e)
{
    sqlite3_stmt *m = st_get(s,
                             "UPDATE mark SET set_id=?2,count=?3 WHERE id=?1 AND (set_id IS NOT ?2 "
                             "OR count IS NOT ?3)",
                             e),
                 *t = st_get(
                     s, "UPDATE mark_target SET set_id=?2 WHERE mark_id=?1 AND set_id IS NOT ?2",
                     e);
    if (!m || !t)
        return false;
    sqlite3_bind_int64(m, 1, mark);
    sqlite3_bind_int64(t, 1, mark);
    if (set_id) {
        sqlite3_bind_int64(m, 2, set_id);
        sqlite3_bind_double(m, 3, count);
        sqlite3_bind_int64(t, 2, set_id);
    }
    return st_done(s, m, e) && st_done(s, t, e);
}

/* The marks that stand elsewhere, first: rows that are being read are not written under the reader.
 */
static bool misplaced(struct store *s, const struct show *show, int64_t clip, const struct map *map,
                      struct arena *mem, struct mark_list *out, struct err *e)
{
    sqlite3_stmt *q = st_get(
        s, "SELECT id,at_us,set_id,count FROM mark WHERE clip_id=? AND removed_at IS NULL", e);
    struct mark *at = NULL;
    size_t cap = 0;
    bool ok = q != NULL;
    *out = (struct mark_list){0};
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    while (st_row(s, q, &ok, e)) {
        int64_t at_us = sqlite3_column_int64(q, 1);
        struct spot spot;
        bool placed = map && map_at(map, at_us, &spot);
        if (placed ? sqlite3_column_int64(q, 2) == show->sets[spot.set].id &&
                         sqlite3_column_double(q, 3) == spot.count
                   : sqlite3_column_type(q, 2) == SQLITE_NULL)
            continue; /* it is there already */
        at = array_grow(at, out->n, &cap, sizeof *at);
        at[out->n++] = (struct mark){.id = sqlite3_column_int64(q, 0), .at_us = at_us};
    }
    out->at = arena_take(mem, at, out->n * sizeof *at);
    return ok;
}

bool store_place_mark(struct store *s, const struct show *show, struct store_call mark,
                      const struct map *map, struct err *e)
{
    struct spot spot;
    bool placed = map && map_at(map, mark.at_us, &spot);
    return step_open(s, "place a mark", e) &&
           step_close(s,
                      place_one(s, mark.id, placed ? show->sets[spot.set].id : 0,
                                placed ? spot.count : 0, e),
                      e);
}

bool store_place_marks(struct store *s, const struct show *show, int64_t clip,
                       const struct map *map, struct err *e)
{
    struct arena mem = {0};
    struct mark_list l;
    if (!step_open(s, "place marks", e))
        return false;
    bool ok = misplaced(s, show, clip, map, &mem, &l, e);
    for (size_t i = 0; ok && i < l.n; i++)
        ok = store_place_mark(s, show, (struct store_call){l.at[i].at_us, l.at[i].id}, map, e);
    arena_free(&mem);
    return step_close(s, ok, e);
}
