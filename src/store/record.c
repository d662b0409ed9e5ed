/* What a step changes is recorded as one of SQLite's own change sets: what rows were before and
 * after it. */
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

/* A table of a million rows in one step is kept, but not what it would take to undo it. */
enum { CHANGES_MOST = 64 << 20 };

/* Which tables a step can take back. Where a clip was left, watched stretches and settings
 * are not remarks: they stay. The camera is made anew from the picks. */
int record_covers(void *ctx, const char *table)
{
    (void)ctx;
    static const char *const kept_out[] = {"undo_step",   "watched",         "setting",
                                           "place",       "sqlite_sequence", "camera_track",
                                           "camera_piece"};
    for (size_t i = 0; i < sizeof kept_out / sizeof *kept_out; i++)
        if (strcmp(table, kept_out[i]) == 0)
            return 0;
    return 1;
}

bool record_begin(struct store *s, struct err *e)
{
    if (sqlite3session_create(s->db, "main", &s->session) != SQLITE_OK)
        return st_fail(s, e);
    sqlite3session_table_filter(s->session, record_covers, NULL);
    return sqlite3session_attach(s->session, NULL) == SQLITE_OK || st_fail(s, e);
}

void record_drop(struct store *s)
{
    if (s->session)
        sqlite3session_delete(s->session);
    s->session = NULL;
}

static bool run_for_author(struct store *s, const char *sql, struct err *e)
{
    sqlite3_stmt *q = st_get(s, sql, e);
    if (!q)
        return false;
    st_text(q, 1, s->author);
    return st_done(s, q, e);
}

/* Drops what this author could do again (a new step was made) and what is older than UNDO_STEPS. */
static bool save_step(struct store *s, const void *changes, int n, struct err *e)
{
    if (!run_for_author(s, "DELETE FROM undo_step WHERE undone=1 AND author=?", e))
        return false;
    sqlite3_stmt *q =
        st_get(s, "INSERT INTO undo_step(what,changes,author,made_at) VALUES(?,?,?,?)", e);
    if (!q)
        return false;
    st_text(q, 1, s->what);
    sqlite3_bind_blob(q, 2, n > CHANGES_MOST ? "" : changes, n > CHANGES_MOST ? 0 : n,
                      SQLITE_STATIC);
    st_text(q, 3, s->author);
    sqlite3_bind_int64(q, 4, clock_wall_ms());
    if (!st_done(s, q, e))
        return false;
    q = st_get(s, "DELETE FROM undo_step WHERE id<=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, sqlite3_last_insert_rowid(s->db) - UNDO_STEPS);
    return st_done(s, q, e);
}

bool record_keep(struct store *s, struct err *e)
{
    if (!s->session)
        return true;
    int n = 0;
    void *changes = NULL;
    bool ok = sqlite3session_changeset(s->session, &n, &changes) == SQLITE_OK || st_fail(s, e);
    record_drop(s);
    if (ok && n > 0)
        ok = save_step(s, changes, n, e);
    sqlite3_free(changes);
    return ok;
}
