/* Statements prepared once per connection, and what an error of the database means to a person. */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "store/inside.h"
#include "sys/clock.h"

/* A log that was left by a crash belongs to the file it was written for: an older copy that is put
 * back over that file reads as damaged while the log lies beside it. */
bool st_damaged(struct store *s, const char *how, struct err *e)
{
    struct stat log;
    char name[4200];
    snprintf(name, sizeof name, "%s-wal", s->path);
    if (stat(name, &log) == 0 && log.st_size > 0)
        return err_set(
            e, ERR_SHOW,
            "%s: the show file is damaged (%.100s); if a copy was put back over it, move "
            "%s and the -shm file away and try again, else restore a copy of all three",
            s->path, how, name);
    return err_set(e, ERR_SHOW, "%s: the show file is damaged (%.100s); restore a copy of it",
                   s->path, how);
}

bool st_fail(struct store *s, struct err *e)
{
    int code = sqlite3_errcode(s->db) & 0xff;
    const char *name = s->path;
    int why = sqlite3_system_errno(s->db);
    switch (code) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return err_set(e, ERR_FAILED,
                       "%s: another program is writing to it; nothing was saved, "
                       "try again",
                       name);
    case SQLITE_FULL:
        return err_set(e, ERR_FAILED, "%s: the disk is full; this was not saved", name);
    case SQLITE_IOERR:
        return err_set(e, ERR_FAILED, "%s: the disk refused (%s); this was not saved", name,
                       why ? strerror(why) : sqlite3_errmsg(s->db));
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_CANTOPEN:
        return err_set(e, ERR_FAILED,
                       "%s: may not be written; check the file's and its folder's "
                       "permissions",
                       name);
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
        return st_damaged(s, sqlite3_errmsg(s->db), e);
    default:
        return err_set(e, ERR_FAILED, "%s: %s", name, sqlite3_errmsg(s->db));
    }
}

sqlite3_stmt *st_get(struct store *s, const char *sql, struct err *e)
{
    for (int i = 0; i < s->n_kept; i++) {
        if (s->kept[i].sql != sql)
            continue;
        sqlite3_reset(s->kept[i].st);
        sqlite3_clear_bindings(s->kept[i].st);
        return s->kept[i].st;
    }
    sqlite3_stmt *st = NULL;
    if (s->n_kept == STATEMENTS) {
        err_set(e, ERR_FAILED, "too many statements");
        return NULL;
    }
    if (sqlite3_prepare_v3(s->db, sql, -1, SQLITE_PREPARE_PERSISTENT, &st, NULL) != SQLITE_OK) {
        if (sqlite3_errcode(s->db) == SQLITE_ERROR) /* the statement is right, so the file is not */
            err_set(e, ERR_SHOW, "%s: is not a whole show file (%s); restore a copy of it", s->path,
                    sqlite3_errmsg(s->db));
        else
            st_fail(s, e);
        return NULL;
    }
    s->kept[s->n_kept].sql = sql;
    s->kept[s->n_kept++].st = st;
    return st;
}

bool st_done(struct store *s, sqlite3_stmt *st, struct err *e)
{
    bool ok = true;
    while (st_row(s, st, &ok, e))
        ;
    return ok;
}

bool st_row(struct store *s, sqlite3_stmt *st, bool *ok, struct err *e)
{
    int rc = sqlite3_step(st);
    if (rc == SQLITE_ROW)
        return true;
    if (rc != SQLITE_DONE)
        *ok = st_fail(s, e);
    sqlite3_reset(st);
    return false;
}

bool st_number(struct store *s, sqlite3_stmt *st, int64_t *out, struct err *e)
{
    bool ok = true;
    *out = 0;
    if (st_row(s, st, &ok, e))
        *out = sqlite3_column_int64(st, 0);
    sqlite3_reset(st);
    return ok;
}

bool st_run(struct store *s, const char *sql, struct err *e)
{
    return sqlite3_exec(s->db, sql, NULL, NULL, NULL) == SQLITE_OK || st_fail(s, e);
}

void st_text(sqlite3_stmt *st, int at, const char *text)
{
    sqlite3_bind_text(st, at, text ? text : "", -1, SQLITE_TRANSIENT);
}

void st_uid(sqlite3_stmt *st, int at)
{
    unsigned char uid[16];
    random_bytes(uid, sizeof uid);
    sqlite3_bind_blob(st, at, uid, sizeof uid, SQLITE_TRANSIENT);
}

const char *st_column(sqlite3_stmt *st, int at)
{
    const char *text = (const char *)sqlite3_column_text(st, at);
    return text ? text : "";
}

enum mark_state state_of(int stored)
{
    return stored >= MARK_OPEN && stored <= MARK_CLEAN ? (enum mark_state)stored : MARK_OPEN;
}

enum mark_state st_state(sqlite3_stmt *st, int at)
{
    return state_of(sqlite3_column_int(st, at));
}
