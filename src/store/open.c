#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "store/inside.h"
#include "sys/clock.h"
#include "sys/file.h"

enum { APPLICATION_ID = 0x6278636c /* "bxcl" */, CHECKED_AT_OPEN = 16 << 20 };

/* --- statements ---------------------------------------------------------------------------- */

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
        return err_set(e, ERR_SHOW, "%s: the show file is damaged (%s); restore a copy of it", name,
                       sqlite3_errmsg(s->db));
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
    int rc;
    while ((rc = sqlite3_step(st)) == SQLITE_ROW)
        ;
    if (rc != SQLITE_DONE)
        st_fail(s, e);
    sqlite3_reset(st);
    return rc == SQLITE_DONE;
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

/* --- id maps ------------------------------------------------------------------------------- */

void idmap_set(struct idmap *m, int64_t id, int position)
{
    if (id <= 0 || id > 100000000)
        return;
    if (id >= m->n) {
        int64_t n = id * 2 + 64;
        m->at = xrealloc(m->at, (size_t)n * sizeof *m->at);
        memset(m->at + m->n, 0, (size_t)(n - m->n) * sizeof *m->at);
        m->n = n;
    }
    m->at[id] = position + 1;
}

void idmap_clear(struct idmap *m)
{
    free(m->at);
    *m = (struct idmap){0};
}

/* --- open and close ------------------------------------------------------------------------ */

static bool connect_to(struct store *s, int flags, struct err *e)
{
    if (sqlite3_open_v2(s->path, &s->db, flags, NULL) != SQLITE_OK)
        return st_fail(s, e);
    sqlite3_busy_timeout(s->db, 5000);
    sqlite3_db_config(s->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(s->db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    sqlite3_db_config(s->db, SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0, NULL);
    return st_run(s, "PRAGMA cell_size_check=ON", e) && st_run(s, "PRAGMA foreign_keys=ON", e) &&
           list_functions(s, e);
}

static bool make_durable(struct store *s, struct err *e)
{
    return st_run(s, "PRAGMA journal_mode=WAL", e) && st_run(s, "PRAGMA synchronous=FULL", e);
}

static struct store *store_at(const char *path, struct err *e)
{
    char *absolute = file_absolute(path, e);
    if (!absolute)
        return NULL;
    struct store *s = xcalloc(1, sizeof *s);
    s->path = absolute;
    s->author = xstrdup("");
    return s;
}

/* Runs the migrations from `version` on, in one transaction. */
static bool migrate(struct store *s, int version, struct err *e)
{
    char pragma[80];
    if (!st_run(s, "BEGIN IMMEDIATE", e))
        return false;
    bool ok = true;
    for (int v = version; ok && v < STORE_VERSION; v++)
        ok = st_run(s, store_schema[v], e);
    snprintf(pragma, sizeof pragma, "PRAGMA user_version=%d; PRAGMA application_id=%d",
             STORE_VERSION, APPLICATION_ID);
    ok = ok && st_run(s, pragma, e) && st_run(s, "COMMIT", e);
    if (!ok)
        sqlite3_exec(s->db, "ROLLBACK", NULL, NULL, NULL);
    return ok;
}

static uint32_t be32(const unsigned char *p)
{
    return (uint32_t)p[0] << 24 | (uint32_t)p[1] << 16 | (uint32_t)p[2] << 8 | p[3];
}

static bool refuse_newer(const char *path, int version, struct err *e)
{
    return err_set(e, ERR_SHOW,
                   "%s: was written by a newer boxcall (file version %d, this program knows %d); "
                   "update boxcall",
                   path, version, STORE_VERSION);
}

/* Is the file as long as its header says? Not asked while a log is there, which may hold the rest.
 */
static bool check_length(const char *path, const unsigned char *head, struct err *e)
{
    struct stat file, log;
    struct buf name = {0};
    buf_printf(&name, "%s-wal", path);
    bool logged = stat(name.p, &log) == 0 && log.st_size > 0;
    buf_free(&name);
    int64_t page = head[16] << 8 | head[17];
    int64_t whole = (page == 1 ? 65536 : page) * (int64_t)be32(head + 28);
    if (logged || stat(path, &file) != 0 || file.st_size >= whole)
        return true;
    return err_set(e, ERR_SHOW,
                   "%s: the show file is damaged (%lld of its %lld bytes are there); restore a "
                   "copy of it",
                   path, (long long)file.st_size, (long long)whole);
}

/* Reads the first bytes itself, so that a file which is not ours is not even opened by SQLite
 * (opening may already write). Layout: SQLite's 'Database File Format', section 1.3. */
static bool look_at_header(const char *path, int *version, struct err *e)
{
    unsigned char head[100] = {0};
    if (!file_is_regular(path, e)) {
        if (e->code == ERR_INPUT && !file_exists(path))
            err_set(e, ERR_INPUT, "%s: there is no such show file; make one: boxcall new %s", path,
                    path);
        else
            e->code = ERR_SHOW;
        return false;
    }
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return err_set(e, ERR_FAILED, "%s: cannot open it: %s", path, strerror(errno));
    ssize_t n = read(fd, head, sizeof head);
    close(fd);
    if (n == 0)
        return err_set(e, ERR_SHOW, "%s: the file is empty, not a show file", path);
    if (n < (ssize_t)sizeof head || memcmp(head, "SQLite format 3", 16) != 0)
        return err_set(e, ERR_SHOW, "%s: is not a show file; name the file that 'boxcall new' made",
                       path);
    if (be32(head + 68) != APPLICATION_ID)
        return err_set(e, ERR_SHOW, "%s: is a database of another program, not a show file", path);
    *version = (int)be32(head + 60);
    if (*version > STORE_VERSION)
        return refuse_newer(path, *version, e);
    if (*version < 1)
        return err_set(e, ERR_SHOW, "%s: the show file was never finished; make it again", path);
    return check_length(path, head, e);
}

/* The version as SQLite sees it: after a crash the first bytes of the file may be older than its
 * log. */
static bool read_version(struct store *s, int *version, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "PRAGMA user_version", e);
    if (!q)
        return false;
    bool ok = sqlite3_step(q) == SQLITE_ROW || st_fail(s, e);
    *version = ok ? sqlite3_column_int(q, 0) : 0;
    sqlite3_reset(q);
    return ok && (*version <= STORE_VERSION || refuse_newer(s->path, *version, e));
}

/* Nothing is written to a file that lacks a table of ours. */
static bool has_tables(struct store *s, struct err *e)
{
    return st_get(s,
                  "SELECT (SELECT 1 FROM setting),"
                  "(SELECT 1 FROM section),"
                  "(SELECT 1 FROM performer),"
                  "(SELECT 1 FROM fault),"
                  "(SELECT 1 FROM drill_set),"
                  "(SELECT 1 FROM dot),"
                  "(SELECT 1 FROM clip),"
                  "(SELECT 1 FROM place),"
                  "(SELECT 1 FROM anchor),"
                  "(SELECT 1 FROM watched),"
                  "(SELECT 1 FROM mark),"
                  "(SELECT 1 FROM mark_target),"
                  "(SELECT 1 FROM undo_step)",
                  e) != NULL;
}

static bool quick_check(struct store *s, struct err *e)
{
    struct stat st;
    if (stat(s->path, &st) != 0 || st.st_size > CHECKED_AT_OPEN)
        return true;
    sqlite3_stmt *q = st_get(s, "PRAGMA quick_check(1)", e);
    if (!q)
        return false;
    bool ok = sqlite3_step(q) == SQLITE_ROW && strcmp(st_column(q, 0), "ok") == 0;
    if (!ok)
        err_set(e, ERR_SHOW, "%s: the show file is damaged (%s); restore a copy of it", s->path,
                *st_column(q, 0) ? st_column(q, 0) : sqlite3_errmsg(s->db));
    sqlite3_reset(q);
    return ok;
}

/* A copy from before the change stays beside the file: 'larkspur.show.v1'. */
static bool keep_copy(struct store *s, int version, struct err *e)
{
    struct buf to = {0};
    buf_printf(&to, "%s.v%d", s->path, version);
    bool ok = file_exists(to.p) ||
              (st_run(s, "PRAGMA wal_checkpoint(TRUNCATE)", e) && file_copy(s->path, to.p, e));
    buf_free(&to);
    return ok;
}

bool store_open(const char *path, struct store **out, struct err *e)
{
    int version = 0;
    *out = NULL;
    if (!look_at_header(path, &version, e))
        return false;
    struct store *s = store_at(path, e);
    if (!s)
        return false;
    bool ok = connect_to(s, SQLITE_OPEN_READWRITE, e) && quick_check(s, e) &&
              read_version(s, &version, e) && has_tables(s, e) && make_durable(s, e);
    if (ok && version < STORE_VERSION)
        ok = keep_copy(s, version, e) && migrate(s, version, e);
    if (!ok) {
        store_close(s);
        return false;
    }
    *out = s;
    return true;
}

bool store_create(const char *path, const char *title, const char *field, struct store **out,
                  struct err *e)
{
    *out = NULL;
    if (file_exists(path))
        return err_set(e, ERR_INPUT, "%s: is there already; choose another name", path);
    if (!grid_named(field))
        return err_set(e, ERR_USAGE, "no field '%s'; write high-school or college", field);
    struct store *s = store_at(path, e);
    if (!s)
        return false;
    /* The tables come before the log, so that the file says whose it is from its first byte on. */
    bool ok = connect_to(s, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, e) && migrate(s, 0, e) &&
              make_durable(s, e) && store_set(s, "title", title, e) &&
              store_set(s, "field", field, e);
    if (!ok) {
        char *made = xstrdup(s->path);
        store_close(s);
        unlink(made);
        free(made);
        return false;
    }
    *out = s;
    return true;
}

void store_close(struct store *s)
{
    if (!s)
        return;
    if (s->depth)
        store_rollback(s);
    for (int i = 0; i < s->n_kept; i++)
        sqlite3_finalize(s->kept[i].st);
    /* A failed checkpoint at close harms nothing: what was committed is in the synced log. */
    sqlite3_close(s->db);
    idmap_clear(&s->section_at);
    idmap_clear(&s->performer_at);
    idmap_clear(&s->fault_at);
    idmap_clear(&s->set_at);
    free(s->path);
    free(s->author);
    free(s);
}

const char *store_path(const struct store *s)
{
    return s->path;
}

void store_author(struct store *s, const char *author)
{
    free(s->author);
    s->author = xstrdup(author);
}

bool store_check(struct store *s, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "PRAGMA integrity_check(1)", e);
    if (!q)
        return false;
    bool ok = sqlite3_step(q) == SQLITE_ROW && strcmp(st_column(q, 0), "ok") == 0;
    if (!ok)
        err_set(e, ERR_SHOW, "%s: the show file is damaged (%s); restore a copy of it", s->path,
                st_column(q, 0));
    sqlite3_reset(q);
    return ok;
}

const char *store_setting(struct store *s, struct arena *a, const char *key)
{
    struct err ignored;
    sqlite3_stmt *q = st_get(s, "SELECT value FROM setting WHERE key=?", &ignored);
    if (!q)
        return NULL;
    st_text(q, 1, key);
    const char *value = sqlite3_step(q) == SQLITE_ROW ? arena_strdup(a, st_column(q, 0)) : NULL;
    sqlite3_reset(q);
    return value;
}

bool store_set(struct store *s, const char *key, const char *value, struct err *e)
{
    sqlite3_stmt *q = st_get(s,
                             "INSERT INTO setting VALUES(?,?) ON CONFLICT(key) DO UPDATE SET "
                             "value=excluded.value",
                             e);
    if (!q)
        return false;
    st_text(q, 1, key);
    st_text(q, 2, value);
    return st_done(s, q, e);
}
