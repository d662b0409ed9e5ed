/* The durable write: one step, all of it on disk or none. */
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "store/inside.h"

/* Gives up what is open; false when the connection is not sound after that. */
static bool give_up(struct store *s)
{
    record_drop(s);
    s->depth = 0;
    s->spoiled = false;
    if (!sqlite3_get_autocommit(s->db))
        sqlite3_exec(s->db, "ROLLBACK", NULL, NULL, NULL);
    return sqlite3_get_autocommit(s->db);
}

/* A step that an earlier failure left half open would swallow all that follows. */
static bool is_sound(struct store *s, struct err *e)
{
    if (s->read_only)
        return err_set(e, ERR_FAILED,
                       "%s: may not be written; check the file's and its folder's permissions and "
                       "the room on the disk",
                       s->path);
    if (sqlite3_get_autocommit(s->db) || give_up(s))
        return true;
    return err_set(e, ERR_FAILED,
                   "%s: a step that failed cannot be taken back, so nothing more is taken; leave, "
                   "and open it again",
                   s->path);
}

bool step_open(struct store *s, const char *what, struct err *e)
{
    if (s->depth > 0) {
        if (s->spoiled)
            return err_set(e, ERR_FAILED, "%s: an earlier part of this step failed", s->path);
        s->depth++;
        return true;
    }
    if (!is_sound(s, e) || !ground_holds(s, e) || !st_run(s, "BEGIN IMMEDIATE", e))
        return false;
    s->depth = 1;
    s->spoiled = false;
    snprintf(s->what, sizeof s->what, "%s", what ? what : "");
    s->what[utf8_check(s->what, strlen(s->what))] = '\0';
    if (!what || record_begin(s, e))
        return true;
    give_up(s);
    return false;
}

/* The database gives a transaction up by itself when the disk fails in the middle of it. */
static bool still_open(struct store *s, struct err *e)
{
    return !sqlite3_get_autocommit(s->db) ||
           err_set(e, ERR_FAILED, "%s: the disk refused in the middle; this was not saved",
                   s->path);
}

bool step_close(struct store *s, bool ok, struct err *e)
{
    if (s->depth > 1) {
        s->depth--;
        s->spoiled |= !ok;
        return ok;
    }
    if (ok && s->spoiled)
        ok = err_set(e, ERR_FAILED, "%s: a part of this step failed; nothing of it was saved",
                     s->path);
    ok = ok && still_open(s, e) && record_keep(s, e) && st_run(s, "COMMIT", e);
    if (!ok) {
        give_up(s);
        return false;
    }
    s->depth = 0;
    s->written = true;
    /* What was written into a file that nobody will find again is not saved. */
    return ground_holds(s, e);
}

/* SQLite asks before each commit; anything but 0 makes it a rollback. */
static int only_steps(void *user)
{
    const struct store *s = user;
    return s->made && s->depth == 0;
}

void step_guard(struct store *s)
{
    s->made = true;
    sqlite3_commit_hook(s->db, only_steps, s);
}

bool store_step(struct store *s, const char *what, store_step_fn *change, void *ctx, struct err *e)
{
    return step_open(s, what, e) && step_close(s, change(s, ctx, e), e);
}

bool store_reading(struct store *s, store_step_fn *read, void *ctx, struct err *e)
{
    if (!sqlite3_get_autocommit(s->db))
        return read(s, ctx, e);
    if (!st_run(s, "BEGIN", e))
        return false;
    bool ok = read(s, ctx, e);
    sqlite3_exec(s->db, "COMMIT", NULL, NULL, NULL);
    if (!sqlite3_get_autocommit(s->db))
        sqlite3_exec(s->db, "ROLLBACK", NULL, NULL, NULL);
    return ok;
}

int64_t store_version(struct store *s)
{
    struct err ignored;
    int64_t version = 0;
    sqlite3_stmt *q = st_get(s, "PRAGMA data_version", &ignored);
    return q && st_number(s, q, &version, &ignored) ? version : -1;
}
