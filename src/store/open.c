/* Opening, making and closing a show file. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/shell.h"
#include "store/inside.h"
#include "sys/clock.h"
#include "sys/file.h"

enum { APPLICATION_ID = 0x6278636c /* "bxcl" */, CHECKED_AT_OPEN = 16 << 20, BUSY_MS = 5000 };

/* Closing the last connection carries the log over into the file and removes it. */
static void carry_over_at_close(struct store *s, bool on)
{
    sqlite3_db_config(s->db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, !on, NULL);
}

static bool connect_to(struct store *s, const char *name, int flags, struct err *e)
{
    if (sqlite3_open_v2(name, &s->db, flags, NULL) != SQLITE_OK)
        return st_fail(s, e);
    sqlite3_busy_timeout(s->db, BUSY_MS);
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
                    shell_word(path).text);
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
    int64_t found;
    sqlite3_stmt *q = st_get(s, "PRAGMA user_version", e);
    if (!q || !st_number(s, q, &found, e))
        return false;
    *version = (int)found;
    return *version <= STORE_VERSION || refuse_newer(s->path, *version, e);
}

/* Length of a file beside the show, -1 when it is not there. */
static int64_t beside(const struct store *s, const char *ending, char path[4200])
{
    struct stat st;
    snprintf(path, 4200, "%s%s", s->path, ending);
    return stat(path, &st) == 0 ? (int64_t)st.st_size : -1;
}

/* SQLite's own check; false with its first complaint. */
static bool check_with(struct store *s, const char *pragma, struct err *e)
{
    bool ok = true;
    sqlite3_stmt *q = st_get(s, pragma, e);
    if (!q)
        return false;
    if (st_row(s, q, &ok, e) && strcmp(st_column(q, 0), "ok") != 0)
        ok = st_damaged(s, st_column(q, 0), e);
    sqlite3_reset(q);
    return ok;
}

/* A large file is looked through only when a log was left beside it, which may be another's. */
static bool quick_check(struct store *s, bool logged, struct err *e)
{
    struct stat st;
    return (!logged && (stat(s->path, &st) != 0 || st.st_size > CHECKED_AT_OPEN)) ||
           check_with(s, "PRAGMA quick_check(1)", e);
}

bool store_check(struct store *s, struct err *e)
{
    return check_with(s, "PRAGMA integrity_check(1)", e);
}

/* A copy from before the change stays beside the file: 'larkspur.show.v1'. */
static bool keep_copy(struct store *s, int version, struct err *e)
{
    struct buf to = {0};
    buf_printf(&to, "%s.v%d", s->path, version);
    bool ok = file_exists(to.p) || store_copy(s, to.p, e);
    buf_free(&to);
    return ok;
}

static bool open_to_write(struct store *s, struct err *e)
{
    int version;
    char log[4200];
    bool logged = beside(s, "-wal", log) > 0;
    bool ok = connect_to(s, s->path, SQLITE_OPEN_READWRITE, e);
    carry_over_at_close(s, !logged); /* a log is not played into a file that is refused */
    ok = ok && quick_check(s, logged, e) && read_version(s, &version, e) &&
         shape_check(s, version, e) && make_durable(s, e);
    if (ok && version < STORE_VERSION)
        ok = keep_copy(s, version, e) && migrate(s, version, e);
    if (ok)
        carry_over_at_close(s, true);
    return ok;
}

static void disconnect(struct store *s)
{
    for (int i = 0; i < s->n_kept; i++)
        sqlite3_finalize(s->kept[i].st);
    s->n_kept = 0;
    /* A failed checkpoint at close harms nothing: what was committed is in the synced log. */
    sqlite3_close(s->db);
    s->db = NULL;
}

/* "file:" and the path with what means something in an address written as %XX. */
static void address_of(const char *path, const char *how, struct buf *out)
{
    buf_str(out, "file:");
    for (const char *p = path; *p; p++)
        if (strchr("?#%", *p))
            buf_printf(out, "%%%02X", (unsigned)*p);
        else
            buf_char(out, *p);
    buf_printf(out, "?%s", how);
}

/* An older file that may not be written cannot be carried forward either. */
static bool read_as_it_is(struct store *s, struct err *e)
{
    int version;
    if (!quick_check(s, false, e) || !read_version(s, &version, e) || !shape_check(s, version, e))
        return false;
    return version == STORE_VERSION ||
           err_set(e, ERR_FAILED,
                   "%s: was written by an older boxcall and may not be written here; copy it to a "
                   "folder of yours and open it there",
                   s->path);
}

/* Without a log the file alone is the show ("immutable" leaves nothing beside it); with one, its
 * index must be there too, since it could not be made. */
static bool open_to_read(struct store *s, struct err *e)
{
    char log[4200], index[4200];
    bool logged = beside(s, "-wal", log) > 0;
    struct buf name = {0};
    s->read_only = true;
    s->frozen = !logged;
    address_of(s->path, logged ? "mode=ro" : "mode=ro&immutable=1", &name);
    bool ok = !logged || beside(s, "-shm", index) >= 0 ||
              err_set(e, ERR_FAILED,
                      "%s: its newest marks stand in %s, which cannot be read where nothing may be "
                      "written; copy both files to a folder of yours",
                      s->path, log);
    ok = ok && connect_to(s, name.p, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, e) &&
         read_as_it_is(s, e);
    buf_free(&name);
    return ok;
}

/* An index that a reader left behind when the file could not be written keeps its mode. */
static bool mend_index(struct store *s, struct err *e)
{
    char index[4200];
    struct stat st;
    if (beside(s, "-shm", index) < 0 || access(index, W_OK) == 0)
        return true;
    if (stat(s->path, &st) == 0 && chmod(index, st.st_mode & 0777) == 0)
        return true;
    return err_set(e, ERR_FAILED,
                   "%s: may not be written, so the show cannot be; remove it when nobody has the "
                   "show open",
                   index);
}

/* Failures that are about writing, not about the file. */
static bool may_still_be_read(struct store *s)
{
    int code = s->db ? sqlite3_errcode(s->db) & 0xff : SQLITE_OK;
    return code == SQLITE_READONLY || code == SQLITE_CANTOPEN || code == SQLITE_PERM ||
           code == SQLITE_FULL || code == SQLITE_IOERR;
}

static bool open_either_way(struct store *s, struct err *e)
{
    char folder[4200];
    snprintf(folder, sizeof folder, "%.*s", (int)(strrchr(s->path, '/') - s->path + 1), s->path);
    if (access(s->path, W_OK) != 0 || access(folder, W_OK) != 0)
        return open_to_read(s, e);
    if (!mend_index(s, e))
        return false;
    if (open_to_write(s, e))
        return true;
    if (e->code == ERR_SHOW || !may_still_be_read(s))
        return false;
    struct err first = *e;
    disconnect(s);
    if (open_to_read(s, e))
        return true;
    *e = e->code == ERR_SHOW ? *e : first;
    return false;
}

bool store_open(const char *path, struct store **out, struct err *e)
{
    int version = 0;
    *out = NULL;
    if (!look_at_header(path, &version, e) || !ground_is_local(path, e))
        return false;
    struct store *s = store_at(path, e);
    if (!s)
        return false;
    if (!open_either_way(s, e)) {
        store_close(s);
        return false;
    }
    struct err ignored;
    step_guard(s);
    ground_holds(s, &ignored); /* takes down how the file looks now */
    *out = s;
    return true;
}

bool store_read_only(const struct store *s)
{
    return s->read_only;
}

struct making {
    const char *title, *field;
};

static bool settle_in(struct store *s, void *ctx, struct err *e)
{
    const struct making *m = ctx;
    return store_set(s, "title", m->title, e) && store_set(s, "field", m->field, e);
}

/* The tables come before the log, so that the file says whose it is from its first byte on. */
static bool fill(struct store *s, const struct making *m, struct err *e)
{
    return connect_to(s, s->path, SQLITE_OPEN_READWRITE, e) && migrate(s, 0, e) &&
           make_durable(s, e) && store_step(s, NULL, settle_in, (void *)(uintptr_t)m, e) &&
           (carry_over_at_close(s, true), true);
}

static bool is_taken(const char *path, struct err *e)
{
    return err_set(e, ERR_INPUT, "%s: is there already; choose another name", path);
}

/* The name is taken first, with an empty file that only one program can make. */
bool store_create(const char *path, const char *title, const char *field, struct store **out,
                  struct err *e)
{
    struct making m = {title, field};
    struct grid ground;
    *out = NULL;
    if (file_exists(path))
        return is_taken(path, e);
    if (!grid_read(field, &ground, e)) {
        e->code = ERR_USAGE;
        return false;
    }
    struct store *s = store_at(path, e);
    if (!s)
        return false;
    int fd = open(s->path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    bool mine = fd >= 0, ok = mine;
    if (mine)
        close(fd);
    else if (errno == EEXIST)
        is_taken(path, e);
    else
        err_set(e, ERR_FAILED, "%s: cannot make it: %s", path, strerror(errno));
    ok = ok && ground_is_local(s->path, e) && fill(s, &m, e);
    if (ok) {
        step_guard(s);
        *out = s;
        return true;
    }
    char *made = xstrdup(s->path);
    store_close(s);
    if (mine)
        unlink(made);
    free(made);
    return false;
}

/* The log of a file that is gone would be played into the one that stands at its path now. */
static void set_log_aside(struct store *s)
{
    char log[4200], index[4200], aside[4210];
    struct stat st;
    if (stat(s->path, &st) != 0 || beside(s, "-wal", log) < 0)
        return;
    snprintf(aside, sizeof aside, "%s.lost", log);
    if (rename(log, aside) == 0 && beside(s, "-shm", index) >= 0)
        unlink(index);
}

void store_close(struct store *s)
{
    if (!s)
        return;
    struct err ignored;
    while (s->depth)
        step_close(s, false, &ignored);
    /* A reader sees the file change too, and leaves everything as it is. */
    bool lost = s->db && !s->read_only && s->ground.known && !ground_holds(s, &ignored);
    if (lost)
        carry_over_at_close(s, false); /* another file stands there now */
    disconnect(s);
    if (lost)
        set_log_aside(s);
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

const char *store_setting(struct store *s, struct arena *a, const char *key)
{
    struct err ignored;
    bool ok = true;
    const char *value = NULL;
    sqlite3_stmt *q = st_get(s, "SELECT value FROM setting WHERE key=?", &ignored);
    if (!q)
        return NULL;
    st_text(q, 1, key);
    if (st_row(s, q, &ok, &ignored)) {
        value = arena_strdup(a, st_column(q, 0));
        sqlite3_reset(q);
    }
    return value;
}

bool store_set(struct store *s, const char *key, const char *value, struct err *e)
{
    if (!step_open(s, NULL, e))
        return false;
    sqlite3_stmt *q = st_get(s,
                             "INSERT INTO setting VALUES(?,?) ON CONFLICT(key) DO UPDATE SET "
                             "value=excluded.value",
                             e);
    if (q) {
        st_text(q, 1, key);
        st_text(q, 2, value);
    }
    return step_close(s, q && st_done(s, q, e), e);
}
