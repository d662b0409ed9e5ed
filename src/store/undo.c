/* Undo by SQLite's own change sets: a step records what rows were before and after, taking it back
 * applies the inverse, and a row that something else changed since is a conflict, never a guess. */
#include <stdlib.h>
#include <stdio.h>
#include <string.h>

#include "store/inside.h"

/* Which tables a step can take back. Where a clip was left, watched stretches and settings
 * are not remarks: they stay. */
static int undoable(void *ctx, const char *table)
{
    (void)ctx;
    static const char *const kept_out[] = {"undo_step", "watched", "setting", "place",
                                           "sqlite_sequence"};
    for (size_t i = 0; i < sizeof kept_out / sizeof *kept_out; i++)
        if (strcmp(table, kept_out[i]) == 0)
            return 0;
    return 1;
}

static bool start_recording(struct store *s, struct err *e)
{
    if (sqlite3session_create(s->db, "main", &s->session) != SQLITE_OK)
        return st_fail(s, e);
    sqlite3session_table_filter(s->session, undoable, NULL);
    return sqlite3session_attach(s->session, NULL) == SQLITE_OK || st_fail(s, e);
}

static void stop_recording(struct store *s)
{
    if (s->session)
        sqlite3session_delete(s->session);
    s->session = NULL;
}

bool store_begin(struct store *s, const char *what, struct err *e)
{
    if (s->depth++ > 0)
        return true;
    snprintf(s->what, sizeof s->what, "%s", what ? what : "");
    if (!st_run(s, "BEGIN IMMEDIATE", e)) {
        s->depth = 0;
        return false;
    }
    if (what && !start_recording(s, e)) {
        store_rollback(s);
        return false;
    }
    return true;
}

/* Drops what could be redone (a new step was made) and what is older than UNDO_STEPS. */
static bool save_step(struct store *s, const void *changes, int n, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "DELETE FROM undo_step WHERE undone=1", e);
    if (!q || !st_done(s, q, e))
        return false;
    q = st_get(s, "INSERT INTO undo_step(what,changes) VALUES(?,?)", e);
    if (!q)
        return false;
    st_text(q, 1, s->what);
    sqlite3_bind_blob(q, 2, changes, n, SQLITE_STATIC);
    if (!st_done(s, q, e))
        return false;
    q = st_get(s, "DELETE FROM undo_step WHERE id<=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, sqlite3_last_insert_rowid(s->db) - UNDO_STEPS);
    return st_done(s, q, e);
}

bool store_commit(struct store *s, struct err *e)
{
    if (s->depth > 1) {
        s->depth--;
        return true;
    }
    bool ok = true;
    if (s->session) {
        int n = 0;
        void *changes = NULL;
        ok = sqlite3session_changeset(s->session, &n, &changes) == SQLITE_OK || st_fail(s, e);
        stop_recording(s);
        if (ok && n > 0)
            ok = save_step(s, changes, n, e);
        sqlite3_free(changes);
    }
    ok = ok && st_run(s, "COMMIT", e);
    if (!ok) {
        store_rollback(s);
        return false;
    }
    s->depth = 0;
    s->version++;
    return true;
}

void store_rollback(struct store *s)
{
    stop_recording(s);
    s->depth = 0;
    sqlite3_exec(s->db, "ROLLBACK", NULL, NULL, NULL);
}

static int on_conflict(void *ctx, int kind, sqlite3_changeset_iter *it)
{
    (void)ctx;
    (void)kind;
    (void)it;
    return SQLITE_CHANGESET_ABORT;
}

static bool apply(struct store *s, sqlite3_stmt *q, bool back, struct err *e)
{
    int n = sqlite3_column_bytes(q, 2), m = n;
    void *changes = (void *)(uintptr_t)sqlite3_column_blob(q, 2), *inverse = NULL;
    if (back && sqlite3changeset_invert(n, changes, &m, &inverse) != SQLITE_OK)
        return err_set(e, ERR_FAILED, "%s: the step cannot be read any more", s->path);
    int rc = sqlite3changeset_apply(s->db, m, back ? inverse : changes, NULL, on_conflict, NULL);
    sqlite3_free(inverse);
    if (rc == SQLITE_ABORT)
        return err_set(e, ERR_FAILED, "something else changed it since; not %s",
                       back ? "undone" : "redone");
    return rc == SQLITE_OK || st_fail(s, e);
}

/* Takes one step back (or forward); the row of undo_step only changes its flag. */
static bool travel(struct store *s, bool back, char what[100], struct err *e)
{
    static const char last[] = "SELECT id,what,changes FROM undo_step WHERE undone=0 ORDER BY id "
                               "DESC LIMIT 1",
                      next[] = "SELECT id,what,changes FROM undo_step WHERE undone=1 ORDER BY id "
                               "LIMIT 1";
    *e = (struct err){0};
    if (!st_run(s, "BEGIN IMMEDIATE", e))
        return false;
    sqlite3_stmt *q = st_get(s, back ? last : next, e);
    bool found = q && sqlite3_step(q) == SQLITE_ROW, ok = found;
    int64_t id = 0;
    if (found) {
        id = sqlite3_column_int64(q, 0);
        snprintf(what, 100, "%s", st_column(q, 1));
        ok = apply(s, q, back, e);
    }
    if (q)
        sqlite3_reset(q);
    sqlite3_stmt *flag = ok ? st_get(s, "UPDATE undo_step SET undone=? WHERE id=?", e) : NULL;
    if (flag) {
        sqlite3_bind_int(flag, 1, back);
        sqlite3_bind_int64(flag, 2, id);
        ok = st_done(s, flag, e);
    }
    ok = ok && flag && st_run(s, "COMMIT", e);
    if (!ok)
        sqlite3_exec(s->db, "ROLLBACK", NULL, NULL, NULL);
    s->version += ok;
    return ok;
}

bool store_undo(struct store *s, char what[100], struct err *e)
{
    return travel(s, true, what, e);
}

bool store_redo(struct store *s, char what[100], struct err *e)
{
    return travel(s, false, what, e);
}

int64_t store_version(struct store *s)
{
    struct err ignored;
    sqlite3_stmt *q = st_get(s, "PRAGMA data_version", &ignored);
    int64_t others = 0;
    if (q && sqlite3_step(q) == SQLITE_ROW)
        others = sqlite3_column_int64(q, 0);
    if (q)
        sqlite3_reset(q);
    return others * 1000000000 + s->version;
}
