/* The rows a fix list is made of, in the order of the covering index target_seen, so that a
 * million marks stream by without a sort and without memory of their own. */
#include "store/inside.h"

static struct seen_row row_of(struct store *s, sqlite3_stmt *q)
{
    return (struct seen_row){
        .section = idmap_find(&s->section_at, sqlite3_column_int64(q, 0)),
        .fault = idmap_find(&s->fault_at, sqlite3_column_int64(q, 1)),
        .praise = sqlite3_column_int(q, 2),
        .clip = sqlite3_column_int64(q, 3),
        .at_us = sqlite3_column_int64(q, 4),
        .performer = idmap_find(&s->performer_at, sqlite3_column_int64(q, 5)),
        .severity = sqlite3_column_int(q, 6),
        .cause = sqlite3_column_int(q, 7) ? CAUSE_DEFINE : CAUSE_EXECUTE,
        .state = st_state(q, 8),
        .set = idmap_find(&s->set_at, sqlite3_column_int64(q, 9)),
        .mark = sqlite3_column_int64(q, 11),
    };
}

/* Was this mark given before, under an earlier target that the choice lets through? Only asked for
 * marks with several targets. */
static bool given_before(struct store *s, const struct seen_choice *choice, int64_t mark, int place)
{
    if (choice->performer >= 0)
        return false; /* a mark names a performer once */
    struct err ignored;
    sqlite3_stmt *q = st_get(
        s, "SELECT section_id,performer_id FROM mark_target WHERE mark_id=? AND place<?", &ignored);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, mark);
    sqlite3_bind_int(q, 2, place);
    bool before = false;
    while (!before && sqlite3_step(q) == SQLITE_ROW) {
        int section = idmap_find(&s->section_at, sqlite3_column_int64(q, 0));
        int performer = idmap_find(&s->performer_at, sqlite3_column_int64(q, 1));
        if (choice->whole && performer >= 0)
            continue;
        for (size_t i = 0; i < choice->n_sections; i++)
            before |= choice->sections[i] == section;
    }
    sqlite3_reset(q);
    return before;
}

static bool walk(struct store *s, sqlite3_stmt *q, const struct seen_choice *choice, seen_fn *fn,
                 void *ctx, bool *stopped, struct err *e)
{
    int rc;
    while ((rc = sqlite3_step(q)) == SQLITE_ROW) {
        struct seen_row row = row_of(s, q);
        if (choice->whole && row.performer >= 0)
            continue;
        if (sqlite3_column_int(q, 10))
            row.again = given_before(s, choice, row.mark, sqlite3_column_int(q, 12));
        if (row.section < 0 || row.fault < 0 || fn(ctx, &row))
            continue;
        *stopped = true;
        break;
    }
    if (rc != SQLITE_DONE && rc != SQLITE_ROW)
        st_fail(s, e);
    sqlite3_reset(q);
    return rc == SQLITE_DONE || rc == SQLITE_ROW;
}

bool store_each_seen(struct store *s, const struct seen_choice *choice, seen_fn *fn, void *ctx,
                     struct err *e)
{
    static const char by_section[] =
        "SELECT section_id,fault_id,praise,clip_id,at_us,performer_id,severity,cause,state,set_id,"
        "many,mark_id,place FROM mark_target WHERE section_id=? ORDER BY fault_id,praise";
    static const char by_performer[] =
        "SELECT section_id,fault_id,praise,clip_id,at_us,performer_id,severity,cause,state,set_id,"
        "many,mark_id,place FROM mark_target WHERE performer_id=? ORDER BY fault_id,praise";
    bool one = choice->performer >= 0, stopped = false;
    sqlite3_stmt *q = st_get(s, one ? by_performer : by_section, e);
    if (!q)
        return false;
    /* The id of a position: the maps go the other way, and lists are short enough to look. */
    const struct idmap *map = one ? &s->performer_at : &s->section_at;
    size_t n = one ? 1 : choice->n_sections;
    for (size_t i = 0; i < n && !stopped; i++) {
        int position = one ? choice->performer : choice->sections[i];
        int64_t id = 0;
        while (id < map->n && map->at[id] != position + 1)
            id++;
        sqlite3_reset(q);
        sqlite3_bind_int64(q, 1, id);
        if (!walk(s, q, choice, fn, ctx, &stopped, e))
            return false;
    }
    return true;
}

bool store_each_timed(struct store *s, timed_fn *fn, void *ctx, struct err *e)
{
    sqlite3_stmt *q = st_get(s,
                             "SELECT t.section_id,t.performer_id,m.fault_id,m.set_id,m.clip_id,"
                             "m.at_us,m.late_counts,m.late_error FROM mark m JOIN mark_target t ON "
                             "t.mark_id=m.id WHERE m.late_counts IS NOT NULL AND m.removed_at IS "
                             "NULL",
                             e);
    if (!q)
        return false;
    int rc;
    while ((rc = sqlite3_step(q)) == SQLITE_ROW) {
        struct timed_row row = {
            .section = idmap_find(&s->section_at, sqlite3_column_int64(q, 0)),
            .performer = idmap_find(&s->performer_at, sqlite3_column_int64(q, 1)),
            .fault = idmap_find(&s->fault_at, sqlite3_column_int64(q, 2)),
            .set = idmap_find(&s->set_at, sqlite3_column_int64(q, 3)),
            .clip = sqlite3_column_int64(q, 4),
            .at_us = sqlite3_column_int64(q, 5),
            .late_counts = sqlite3_column_double(q, 6),
            .late_error = sqlite3_column_double(q, 7),
        };
        fn(ctx, &row);
    }
    sqlite3_reset(q);
    return rc == SQLITE_DONE || st_fail(s, e);
}
