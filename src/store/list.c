/* The rows a fix list is made of, in the order of the covering index target_seen, so that a
 * million marks stream by without a sort and without memory of their own.
 *
 * They are handed over from within the query, by an aggregate function that is given every row and
 * adds up nothing: that costs a third of stepping to each row and asking for each column. A column
 * far back comes first, since SQLite finds those before it on the way; one that is not needed is
 * not asked for. */
#include "store/inside.h"

#define ROW "set_id,state,cause,severity,performer_id,mark_id,at_us,clip_id,praise,fault_id"
enum {
    SET,
    STATE,
    CAUSE,
    SEVERITY,
    PERFORMER,
    MARK,
    AT,
    CLIP,
    PRAISE,
    FAULT,
    PLACE,   /* where several sections are chosen */
    SECTION, /* where it is not the same for all rows */
};

struct walk {
    struct store *s;
    const struct seen_choice *choice;
    seen_fn *fn;
    void *ctx;
    bool every_section; /* all there are are chosen */
    bool stopped;
    int section;  /* whose rows come */
    int64_t mark; /* of the row before */
};

static struct seen_row row_of(const struct walk *w, int n, sqlite3_value **v)
{
    const struct store *s = w->s;
    return (struct seen_row){
        .section =
            n > SECTION ? idmap_find(&s->section_at, sqlite3_value_int64(v[SECTION])) : w->section,
        .fault = idmap_find(&s->fault_at, sqlite3_value_int64(v[FAULT])),
        .praise = sqlite3_value_int(v[PRAISE]),
        .clip = sqlite3_value_int64(v[CLIP]),
        .at_us = sqlite3_value_int64(v[AT]),
        .performer = idmap_find(&s->performer_at, sqlite3_value_int64(v[PERFORMER])),
        .severity = sqlite3_value_int(v[SEVERITY]),
        .cause = sqlite3_value_int(v[CAUSE]) ? CAUSE_DEFINE : CAUSE_EXECUTE,
        .state = state_of(sqlite3_value_int(v[STATE])),
        .set = idmap_find(&s->set_at, sqlite3_value_int64(v[SET])),
        .mark = sqlite3_value_int64(v[MARK]),
    };
}

/* Does the choice let an earlier target of the mark through? */
static bool earlier_target(const struct walk *w, int64_t mark, int place)
{
    struct err ignored;
    struct store *s = w->s;
    sqlite3_stmt *q = st_get(
        s, "SELECT section_id,performer_id FROM mark_target WHERE mark_id=? AND place<?", &ignored);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, mark);
    sqlite3_bind_int(q, 2, place);
    bool before = false, ok = true;
    while (!before && st_row(s, q, &ok, &ignored)) {
        int section = idmap_find(&s->section_at, sqlite3_column_int64(q, 0));
        int performer = idmap_find(&s->performer_at, sqlite3_column_int64(q, 1));
        if (w->choice->whole && performer >= 0)
            continue;
        for (size_t i = 0; i < w->choice->n_sections; i++)
            before |= w->choice->sections[i] == section;
    }
    sqlite3_reset(q);
    return before;
}

/* A mark names a performer once, and the index keeps its rows of one section together; only a
 * choice of several sections must look at the mark's other targets. */
static bool given_otherwise(const struct walk *w, const struct seen_row *row, int place)
{
    if (w->choice->performer >= 0)
        return false;
    if (w->choice->n_sections == 1)
        return row->mark == w->mark;
    if (w->every_section && !w->choice->whole)
        return place > 0;
    return place > 0 && earlier_target(w, row->mark, place);
}

static void on_row(sqlite3_context *c, int n, sqlite3_value **v)
{
    struct walk *w = ((struct store *)sqlite3_user_data(c))->walk;
    struct seen_row row = row_of(w, n, v);
    if (row.section < 0 || row.fault < 0 || (w->choice->whole && row.performer >= 0))
        return;
    row.again = given_otherwise(w, &row, n > PLACE ? sqlite3_value_int(v[PLACE]) : 0);
    w->mark = row.mark;
    if (w->fn(w->ctx, &row))
        return;
    w->stopped = true;
    sqlite3_result_error(c, "stopped", -1);
}

static void on_end(sqlite3_context *c)
{
    sqlite3_result_null(c);
}

static bool has_every_section(const struct store *s, const struct seen_choice *choice)
{
    return choice->n_sections == s->section_at.n_ids;
}

bool list_functions(struct store *s, struct err *e)
{
    return sqlite3_create_function(s->db, "seen", -1, SQLITE_UTF8 | SQLITE_DIRECTONLY, s, NULL,
                                   on_row, on_end) == SQLITE_OK ||
           st_fail(s, e);
}

static bool walk(struct walk *w, const char *sql, int64_t id, struct err *e)
{
    sqlite3_stmt *q = st_get(w->s, sql, e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    w->mark = 0;
    w->s->walk = w;
    bool ok = st_done(w->s, q, e) || w->stopped;
    w->s->walk = NULL;
    return ok;
}

bool store_each_seen(struct store *s, const struct seen_choice *choice, seen_fn *fn, void *ctx,
                     struct err *e)
{
    static const char by_section[] =
        "SELECT seen(" ROW ") FROM mark_target INDEXED BY target_seen WHERE section_id=?";
    static const char by_sections[] =
        "SELECT seen(" ROW ",place) FROM mark_target INDEXED BY target_seen WHERE section_id=?";
    static const char by_performer[] = "SELECT seen(" ROW ",place,section_id) FROM mark_target "
                                       "INDEXED BY target_performer WHERE performer_id=?";
    struct walk w = {.s = s, .choice = choice, .fn = fn, .ctx = ctx};
    if (choice->performer >= 0)
        return walk(&w, by_performer, idmap_id(&s->performer_at, choice->performer), e);
    w.every_section = has_every_section(s, choice);
    const char *sql = choice->n_sections > 1 ? by_sections : by_section;
    for (size_t i = 0; i < choice->n_sections && !w.stopped; i++) {
        w.section = choice->sections[i];
        if (!walk(&w, sql, idmap_id(&s->section_at, w.section), e))
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
    bool ok = true;
    while (st_row(s, q, &ok, e)) {
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
    return ok;
}
