/* A whole copy of an open show, by SQLite's own backup: what stands in the log comes along, and
 * what others write meanwhile is either in it or not. Carrying the log over in quiet moments, so
 * that a copy made with the file manager is nearly always whole as well. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store/inside.h"
#include "sys/clock.h"
#include "sys/file.h"

static bool pour(struct store *s, sqlite3 *to, const char *name, struct err *e)
{
    sqlite3_backup *b = sqlite3_backup_init(to, "main", s->db, "main");
    int rc = b ? sqlite3_backup_step(b, -1) : sqlite3_errcode(to);
    if (b)
        sqlite3_backup_finish(b);
    return rc == SQLITE_DONE ||
           err_set(e, ERR_FAILED, "%s: cannot copy to it: %s", name, sqlite3_errstr(rc));
}

/* The copy is one file, without a log of its own, and whole. */
static bool finish(sqlite3 *to, const char *name, struct err *e)
{
    sqlite3_stmt *q = NULL;
    bool ok = sqlite3_exec(to, "PRAGMA journal_mode=DELETE", NULL, NULL, NULL) == SQLITE_OK &&
              sqlite3_prepare_v2(to, "PRAGMA quick_check(1)", -1, &q, NULL) == SQLITE_OK &&
              sqlite3_step(q) == SQLITE_ROW && strcmp(st_column(q, 0), "ok") == 0;
    sqlite3_finalize(q);
    return ok || err_set(e, ERR_FAILED, "%s: the copy is not whole (%s); nothing was made", name,
                         sqlite3_errmsg(to));
}

/* Clips in the show's folder are stored relative to it; in another folder their paths are whole. */
static bool keep_clips_found(struct store *s, sqlite3 *to, const char *name, struct err *e)
{
    size_t folder = (size_t)(strrchr(s->path, '/') - s->path);
    char *absolute = file_absolute(name, e);
    if (!absolute)
        return false;
    bool elsewhere =
        strncmp(absolute, s->path, folder + 1) != 0 || strchr(absolute + folder + 1, '/');
    free(absolute);
    sqlite3_stmt *q = NULL;
    if (!elsewhere)
        return true;
    bool ok = sqlite3_prepare_v2(to, "UPDATE clip SET path=?1||'/'||path WHERE path NOT LIKE '/%'",
                                 -1, &q, NULL) == SQLITE_OK &&
              sqlite3_bind_text(q, 1, s->path, (int)folder, SQLITE_STATIC) == SQLITE_OK &&
              sqlite3_step(q) == SQLITE_DONE;
    sqlite3_finalize(q);
    return ok || err_set(e, ERR_FAILED, "%s: cannot copy to it: %s", name, sqlite3_errmsg(to));
}

static bool write_copy(struct store *s, const char *temp, const char *name, struct err *e)
{
    sqlite3 *to = NULL;
    bool ok =
        sqlite3_open_v2(temp, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, NULL) == SQLITE_OK ||
        err_set(e, ERR_FAILED, "%s: cannot make it: %s", name,
                to ? sqlite3_errmsg(to) : "out of memory");
    ok = ok && pour(s, to, name, e) && keep_clips_found(s, to, name, e) && finish(to, name, e);
    if (sqlite3_close(to) != SQLITE_OK && ok)
        ok = err_set(e, ERR_FAILED, "%s: cannot copy to it", name);
    return ok;
}

bool store_copy(struct store *s, const char *to, struct err *e)
{
    struct buf temp = {0};
    uint64_t any;
    if (file_exists(to))
        return err_set(e, ERR_INPUT, "%s: is there already; choose another name", to);
    char *absolute = file_absolute(to, e); /* says it of a folder that is not there */
    if (!absolute)
        return false;
    free(absolute);
    random_bytes(&any, sizeof any);
    buf_printf(&temp, "%s.%08x", to, (unsigned)any);
    bool ok = write_copy(s, temp.p, to, e) && file_settle(temp.p, to, e);
    if (!ok)
        unlink(temp.p);
    buf_free(&temp);
    return ok;
}

void store_settle(struct store *s)
{
    if (s->read_only || !s->written || s->depth || s->ground.lost)
        return;
    sqlite3_busy_timeout(s->db,
                         0); /* whoever reads now keeps reading; there will be another time */
    int rc = sqlite3_wal_checkpoint_v2(s->db, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL);
    if (rc == SQLITE_BUSY)
        sqlite3_wal_checkpoint_v2(s->db, NULL, SQLITE_CHECKPOINT_PASSIVE, NULL, NULL);
    sqlite3_busy_timeout(s->db, 5000);
    s->written = rc == SQLITE_BUSY;
}
