/* Taking a recorded step back applies the inverse of its change set, and a row that something else
 * changed since is a conflict, never a guess. A person takes back their own steps only. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/inside.h"

/* --- rows that were taken back keep their numbers -------------------------------------------- */

/* A row that was taken back is not in its table any more; its number is kept free, so that doing it
 * again never meets a row that somebody else made meanwhile. */
#define LAST_ID(table)                                                                             \
    "INSERT INTO setting SELECT 'last " table "',coalesce(max(id),0) FROM " table                  \
    " WHERE true ON "                                                                              \
    "CONFLICT(key) DO UPDATE SET value=excluded.value WHERE CAST(excluded.value AS INTEGER)>"      \
    "CAST(value AS INTEGER)"
static const char *const last_ids[] = {
    LAST_ID("mark"),       LAST_ID("anchor"),       LAST_ID("section"),    LAST_ID("performer"),
    LAST_ID("fault"),      LAST_ID("drill_set"),    LAST_ID("item_state"), LAST_ID("rep_plan"),
    LAST_ID("field_pick"), LAST_ID("draft_source"), LAST_ID("draft"),
};

bool undo_keep_numbers(struct store *s, struct err *e)
{
    for (size_t i = 0; i < sizeof last_ids / sizeof *last_ids; i++) {
        sqlite3_stmt *q = st_get(s, last_ids[i], e);
        if (!q || !st_done(s, q, e))
            return false;
    }
    return true;
}

/* --- which row stood in the way -------------------------------------------------------------- */

/* A row by its table and primary key, as text. */
static void row_name(sqlite3_changeset_iter *it, int op, char out[200])
{
    const char *table;
    unsigned char *key;
    int columns, indirect, n_key, n = 0;
    if (sqlite3changeset_op(it, &table, &columns, &op, &indirect) != SQLITE_OK ||
        sqlite3changeset_pk(it, &key, &n_key) != SQLITE_OK)
        return;
    n = snprintf(out, 200, "%s", table);
    for (int i = 0; i < n_key && n < 180; i++) {
        sqlite3_value *v = NULL;
        if (!key[i])
            continue;
        if ((op == SQLITE_INSERT ? sqlite3changeset_new : sqlite3changeset_old)(it, i, &v) || !v)
            return;
        n += snprintf(out + n, (size_t)(200 - n), " %lld", (long long)sqlite3_value_int64(v));
    }
}

/* Does this change set touch the row? A damaged one touches nothing. */
static bool touches(const void *changes, int n, const char *row)
{
    sqlite3_changeset_iter *it;
    bool found = false;
    int op = 0, columns, indirect;
    const char *table;
    if (!changes_whole(changes, (size_t)n) ||
        sqlite3changeset_start(&it, n, (void *)(uintptr_t)changes) != SQLITE_OK)
        return false;
    for (int left = n; !found && left > 0 && sqlite3changeset_next(it) == SQLITE_ROW; left--) {
        char name[200] = "";
        if (sqlite3changeset_op(it, &table, &columns, &op, &indirect) != SQLITE_OK)
            break;
        row_name(it, op, name);
        found = strcmp(name, row) == 0;
    }
    sqlite3changeset_finalize(it);
    return found;
}

/* Whose step behind this one touched the row, for the message. */
static bool name_culprit(struct store *s, int64_t id, const char *row, bool back, struct err *e)
{
    struct err ignored;
    bool ok = true;
    sqlite3_stmt *q = st_get(s,
                             "SELECT author,what,changes FROM undo_step WHERE id>? AND undone=0 "
                             "ORDER BY id",
                             &ignored);
    const char *verb = back ? "taken back" : "done again";
    if (q)
        sqlite3_bind_int64(q, 1, id);
    while (q && st_row(s, q, &ok, &ignored)) {
        if (!touches(sqlite3_column_blob(q, 2), sqlite3_column_bytes(q, 2), row))
            continue;
        err_set(e, ERR_FAILED, "not %s: %s has built on it (%s)", verb,
                *st_column(q, 0) ? st_column(q, 0) : "somebody", st_column(q, 1));
        sqlite3_reset(q);
        return false;
    }
    return err_set(e, ERR_FAILED, "not %s: something else changed it since", verb);
}

/* --- taking back ----------------------------------------------------------------------------- */

/* Cells that follow from others or only say when: where a mark is in the drill is worked out again
 * behind every step, so two people's steps do not stand in each other's way there. */
static bool is_light(struct store *s, const char *table, int column)
{
    struct err ignored;
    bool ok = true, light = false;
    sqlite3_stmt *q = st_get(s,
                             "SELECT name='changed_at' OR (?1 IN ('mark','mark_target') AND name "
                             "IN ('set_id','count')) FROM pragma_table_info(?1) WHERE cid=?2",
                             &ignored);
    if (!q)
        return false;
    st_text(q, 1, table);
    sqlite3_bind_int(q, 2, column);
    if (st_row(s, q, &ok, &ignored)) {
        light = sqlite3_column_int(q, 0);
        sqlite3_reset(q);
    }
    return light;
}

static bool same_value(sqlite3_value *a, sqlite3_value *b)
{
    int type = sqlite3_value_type(a), n;
    if (type != sqlite3_value_type(b))
        return false;
    if (type == SQLITE_FLOAT)
        return sqlite3_value_double(a) == sqlite3_value_double(b);
    n = sqlite3_value_bytes(a);
    if (type == SQLITE_NULL || n != sqlite3_value_bytes(b))
        return type == SQLITE_NULL;
    return n == 0 || memcmp(sqlite3_value_blob(a), sqlite3_value_blob(b), (size_t)n) == 0;
}

struct applying {
    struct store *store;
    char row[200]; /* the first that was not as the step left it */
};

/* The row is there, but not as the step left it: in light cells alone? */
static bool differs_lightly(struct applying *a, sqlite3_changeset_iter *it, const char *table,
                            int columns)
{
    for (int i = 0; i < columns; i++) {
        sqlite3_value *was = NULL, *is = NULL;
        if (sqlite3changeset_old(it, i, &was) != SQLITE_OK || !was)
            continue;
        if (sqlite3changeset_conflict(it, i, &is) != SQLITE_OK || !is)
            return false;
        if (!same_value(was, is) && !is_light(a->store, table, i))
            return false;
    }
    return true;
}

/* The row is gone: did the step only touch light cells of it? */
static bool changes_lightly(struct applying *a, sqlite3_changeset_iter *it, const char *table,
                            int columns)
{
    for (int i = 0; i < columns; i++) {
        sqlite3_value *to = NULL;
        if (sqlite3changeset_new(it, i, &to) == SQLITE_OK && to && !is_light(a->store, table, i))
            return false;
    }
    return true;
}

static int on_conflict(void *ctx, int kind, sqlite3_changeset_iter *it)
{
    struct applying *a = ctx;
    const char *table;
    int op, columns, indirect;
    if (kind == SQLITE_CHANGESET_FOREIGN_KEY ||
        sqlite3changeset_op(it, &table, &columns, &op, &indirect) != SQLITE_OK)
        return SQLITE_CHANGESET_ABORT;
    if (kind == SQLITE_CHANGESET_DATA && differs_lightly(a, it, table, columns))
        return SQLITE_CHANGESET_REPLACE;
    if (kind == SQLITE_CHANGESET_NOTFOUND && op == SQLITE_UPDATE &&
        changes_lightly(a, it, table, columns))
        return SQLITE_CHANGESET_OMIT;
    if (!*a->row)
        row_name(it, op, a->row);
    return SQLITE_CHANGESET_ABORT;
}

static void note_row(sqlite3_changeset_iter *it, struct travelled *t)
{
    const char *table = "";
    int op = 0, columns, indirect;
    sqlite3_value *id = NULL;
    if (sqlite3changeset_op(it, &table, &columns, &op, &indirect) != SQLITE_OK)
        return;
    t->sets |= strcmp(table, "drill_set") == 0;
    t->roster |= strcmp(table, "performer") == 0;
    t->drill |= strcmp(table, "anchor") == 0 || strcmp(table, "drill_set") == 0;
    if (strcmp(table, "mark") != 0 ||
        (op == SQLITE_INSERT ? sqlite3changeset_new : sqlite3changeset_old)(it, 0, &id) || !id)
        return;
    if (t->n_marks == TRAVELLED_MOST)
        t->drill = true; /* so many that all are placed anew */
    else
        t->marks[t->n_marks++] = sqlite3_value_int64(id);
}

/* A change set out of a file that somebody else put together is walked through first. */
static bool is_whole(const void *changes, int n, struct travelled *t)
{
    sqlite3_changeset_iter *it;
    int left = n, rc = SQLITE_ROW;
    if (!changes_whole(changes, (size_t)n) ||
        sqlite3changeset_start(&it, n, (void *)(uintptr_t)changes) != SQLITE_OK)
        return false;
    while (left-- > 0 && (rc = sqlite3changeset_next(it)) == SQLITE_ROW)
        note_row(it, t);
    return sqlite3changeset_finalize(it) == SQLITE_OK && rc == SQLITE_DONE;
}

/* Where marks are in the drill is worked out again behind the step; until then none may stand in a
 * set that goes with it. */
static bool let_go_of_sets(struct store *s, const struct travelled *t, struct err *e)
{
    return !t->sets ||
           st_run(s, "UPDATE mark SET set_id=NULL,count=NULL WHERE set_id IS NOT NULL", e);
}

static bool apply(struct store *s, sqlite3_stmt *q, bool back, struct travelled *t, struct err *e)
{
    const void *blob = sqlite3_column_blob(q, 2);
    int n = sqlite3_column_bytes(q, 2), m = n;
    void *changes = (void *)(uintptr_t)blob, *inverse = NULL;
    struct applying a = {.store = s};
    t->drill = t->sets = t->roster = t->refused = false;
    t->n_marks = 0;
    if (!is_whole(blob, n, t) ||
        (back && sqlite3changeset_invert(n, changes, &m, &inverse) != SQLITE_OK))
        t->refused = !err_set(e, ERR_FAILED,
                              n ? "%s: the step cannot be read any more"
                                : "%s: that step was too large to be taken back",
                              s->path);
    if (t->refused)
        return false;
    if (!let_go_of_sets(s, t, e)) {
        sqlite3_free(inverse);
        return false;
    }
    int rc =
        sqlite3changeset_apply(s->db, m, back ? inverse : changes, record_covers, on_conflict, &a);
    sqlite3_free(inverse);
    t->refused = rc == SQLITE_ABORT || rc == SQLITE_CONSTRAINT;
    if (t->refused)
        return name_culprit(s, sqlite3_column_int64(q, 0), a.row, back, e);
    return rc == SQLITE_OK || st_fail(s, e);
}

static bool set_undone(struct store *s, int64_t id, bool undone, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "UPDATE undo_step SET undone=? WHERE id=?", e);
    if (!q)
        return false;
    sqlite3_bind_int(q, 1, undone);
    sqlite3_bind_int64(q, 2, id);
    return st_done(s, q, e);
}

/* One step of this author, before (or, forward, behind) `from`; *id is 0 when there is none. */
static bool find_step(struct store *s, bool back, int64_t from, int64_t *id, char what[100],
                      struct err *e)
{
    static const char last[] = "SELECT id,what FROM undo_step WHERE undone=0 AND author=?1 AND "
                               "id<?2 ORDER BY id DESC LIMIT 1",
                      next[] = "SELECT id,what FROM undo_step WHERE undone=1 AND author=?1 AND "
                               "id>?2 ORDER BY id LIMIT 1";
    sqlite3_stmt *q = st_get(s, back ? last : next, e);
    bool ok = q != NULL;
    *id = 0;
    if (!q)
        return false;
    st_text(q, 1, s->author);
    sqlite3_bind_int64(q, 2, from);
    if (st_row(s, q, &ok, e)) {
        *id = sqlite3_column_int64(q, 0);
        snprintf(what, 100, "%s", st_column(q, 1));
        sqlite3_reset(q);
    }
    return ok;
}

/* Takes one step back (or forward); the row of undo_step only changes its flag. */
static bool travel_one(struct store *s, bool back, int64_t id, struct travelled *t, struct err *e)
{
    if (!step_open(s, NULL, e))
        return false;
    sqlite3_stmt *q = st_get(s, "SELECT id,what,changes FROM undo_step WHERE id=?", e);
    bool ok = q && undo_keep_numbers(s, e);
    if (ok) {
        sqlite3_bind_int64(q, 1, id);
        ok = st_row(s, q, &ok, e) && apply(s, q, back, t, e);
    }
    if (q)
        sqlite3_reset(q);
    ok = ok && set_undone(s, id, back, e);
    ok = ok && (!t->then || t->then(s, t, e));
    return step_close(s, ok, e);
}

bool store_next_undo(struct store *s, char what[100], bool *below, struct err *e)
{
    int64_t id, above;
    char unused[100];
    *what = '\0';
    *below = false;
    if (!find_step(s, true, INT64_MAX, &id, what, e) || !find_step(s, false, id, &above, unused, e))
        return false;
    *below = above != 0;
    return true;
}

bool store_plan_since_step(struct store *s, char date[11], struct err *e)
{
    sqlite3_stmt *q = st_get(
        s,
        "SELECT date FROM rep_plan WHERE author=?1 AND made_at>coalesce((SELECT made_at FROM "
        "undo_step WHERE undone=0 AND author=?1 ORDER BY id DESC LIMIT 1),-1) "
        "ORDER BY made_at DESC,id DESC LIMIT 1",
        e);
    bool ok = q != NULL;
    *date = '\0';
    if (!q)
        return false;
    st_text(q, 1, s->author);
    if (st_row(s, q, &ok, e)) {
        snprintf(date, 11, "%s", st_column(q, 0));
        sqlite3_reset(q);
    }
    return ok;
}

/* A step that cannot be taken back is told once; asked again, the one before it is tried, so that
 * what somebody else did never ends a person's own undo for good. */
bool store_undo(struct store *s, struct travelled *t, struct err *e)
{
    int64_t id = INT64_MAX;
    for (;;) {
        *e = (struct err){0};
        if (!find_step(s, true, id, &id, t->what, e) || id == 0)
            return false;
        if (travel_one(s, true, id, t, e)) {
            s->refused_undo = 0;
            return true;
        }
        if (!t->refused)
            return false; /* a lock, the disk: the same step again later */
        if (s->refused_undo == 0 || id < s->refused_undo) {
            s->refused_undo = id;
            return false;
        }
    }
}

bool store_redo(struct store *s, struct travelled *t, struct err *e)
{
    int64_t id;
    *e = (struct err){0};
    s->refused_undo = 0;
    return find_step(s, false, 0, &id, t->what, e) && id && travel_one(s, false, id, t, e);
}
