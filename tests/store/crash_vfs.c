#include "store/crash_vfs.h"

#include <sqlite3.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "lib/files.h"

enum { DATABASE, LOG, FILES, SECTOR = 512 };

struct change {
    sqlite3_int64 at;
    int n; /* -1: the file ends at `at` */
    unsigned char *bytes;
};

struct disk_file { /* what is durable, and what came since */
    unsigned char *bytes;
    size_t n, cap;
    struct change *changes;
    size_t n_changes, changes_cap;
};

struct open_file {
    sqlite3_file base;
    struct disk_file *disk;
    sqlite3_file *real;
};

static struct disk_file files[FILES];
static sqlite3_vfs *real_vfs, crash_vfs;
static void (*on_event)(void);
static unsigned chance_state;

static unsigned chance(unsigned below)
{
    chance_state = chance_state * 1664525u + 1013904223u;
    return (chance_state >> 10) % below;
}

static void put(struct disk_file *f, sqlite3_int64 at, const void *bytes, size_t n)
{
    size_t end = (size_t)at + n;
    if (end + 1 > f->cap) { /* never without memory, however empty */
        f->cap = end * 2 + 1;
        f->bytes = xrealloc(f->bytes, f->cap);
    }
    if (end > f->n) {
        memset(f->bytes + f->n, 0, end - f->n);
        f->n = end;
    }
    memcpy(f->bytes + at, bytes, n);
}

static void apply(struct disk_file *f, const struct change *c, bool torn)
{
    if (c->n < 0) {
        f->n = (size_t)c->at < f->n ? (size_t)c->at : f->n;
        return;
    }
    for (int from = 0; from < c->n;) {
        int to = from + SECTOR - (int)((c->at + from) % SECTOR);
        if (to > c->n)
            to = c->n;
        if (!torn || chance(2))
            put(f, c->at + from, c->bytes + from, (size_t)(to - from));
        from = to;
    }
}

static void remember(struct disk_file *f, sqlite3_int64 at, const void *bytes, int n)
{
    f->changes = array_grow(f->changes, f->n_changes, &f->changes_cap, sizeof *f->changes);
    struct change *c = &f->changes[f->n_changes++];
    *c = (struct change){.at = at, .n = n};
    if (n > 0)
        c->bytes = memcpy(xrealloc(NULL, (size_t)n), bytes, (size_t)n);
    on_event();
}

static void forget(struct disk_file *f)
{
    for (size_t i = 0; i < f->n_changes; i++)
        free(f->changes[i].bytes);
    f->n_changes = 0;
}

/* --- the file's functions --------------------------------------------------------------------- */

#define REAL(f) (((struct open_file *)(f))->real)

static int do_close(sqlite3_file *f)
{
    int rc = REAL(f)->pMethods->xClose(REAL(f));
    sqlite3_free(REAL(f));
    return rc;
}
static int do_read(sqlite3_file *f, void *p, int n, sqlite3_int64 at)
{
    return REAL(f)->pMethods->xRead(REAL(f), p, n, at);
}
static int do_write(sqlite3_file *f, const void *p, int n, sqlite3_int64 at)
{
    int rc = REAL(f)->pMethods->xWrite(REAL(f), p, n, at);
    remember(((struct open_file *)f)->disk, at, p, n);
    return rc;
}
static int do_truncate(sqlite3_file *f, sqlite3_int64 n)
{
    int rc = REAL(f)->pMethods->xTruncate(REAL(f), n);
    remember(((struct open_file *)f)->disk, n, NULL, -1);
    return rc;
}
static int do_sync(sqlite3_file *f, int flags)
{
    (void)flags;
    struct disk_file *disk = ((struct open_file *)f)->disk;
    for (size_t i = 0; i < disk->n_changes; i++)
        apply(disk, &disk->changes[i], false);
    forget(disk);
    on_event();
    return SQLITE_OK;
}
static int do_size(sqlite3_file *f, sqlite3_int64 *n)
{
    return REAL(f)->pMethods->xFileSize(REAL(f), n);
}
static int do_lock(sqlite3_file *f, int level)
{
    return REAL(f)->pMethods->xLock(REAL(f), level);
}
static int do_unlock(sqlite3_file *f, int level)
{
    return REAL(f)->pMethods->xUnlock(REAL(f), level);
}
static int do_reserved(sqlite3_file *f, int *out)
{
    return REAL(f)->pMethods->xCheckReservedLock(REAL(f), out);
}
static int do_control(sqlite3_file *f, int op, void *arg)
{
    return REAL(f)->pMethods->xFileControl(REAL(f), op, arg);
}
static int do_sector(sqlite3_file *f)
{
    (void)f;
    return SECTOR;
}
static int do_device(sqlite3_file *f)
{
    return REAL(f)->pMethods->xDeviceCharacteristics(REAL(f)) & ~SQLITE_IOCAP_POWERSAFE_OVERWRITE;
}
static int do_shm_map(sqlite3_file *f, int page, int size, int grow, void volatile **out)
{
    return REAL(f)->pMethods->xShmMap(REAL(f), page, size, grow, out);
}
static int do_shm_lock(sqlite3_file *f, int at, int n, int flags)
{
    return REAL(f)->pMethods->xShmLock(REAL(f), at, n, flags);
}
static void do_shm_barrier(sqlite3_file *f)
{
    REAL(f)->pMethods->xShmBarrier(REAL(f));
}
static int do_shm_unmap(sqlite3_file *f, int drop)
{
    return REAL(f)->pMethods->xShmUnmap(REAL(f), drop);
}

static const sqlite3_io_methods methods = {.iVersion = 2,
                                           .xClose = do_close,
                                           .xRead = do_read,
                                           .xWrite = do_write,
                                           .xTruncate = do_truncate,
                                           .xSync = do_sync,
                                           .xFileSize = do_size,
                                           .xLock = do_lock,
                                           .xUnlock = do_unlock,
                                           .xCheckReservedLock = do_reserved,
                                           .xFileControl = do_control,
                                           .xSectorSize = do_sector,
                                           .xDeviceCharacteristics = do_device,
                                           .xShmMap = do_shm_map,
                                           .xShmLock = do_shm_lock,
                                           .xShmBarrier = do_shm_barrier,
                                           .xShmUnmap = do_shm_unmap};

/* --- the disk ----------------------------------------------------------------------------------
 */

static int open_on(sqlite3_vfs *vfs, const char *name, sqlite3_file *f, int flags, int *out)
{
    (void)vfs;
    if (!(flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL)))
        return real_vfs->xOpen(real_vfs, name, f, flags, out);
    struct open_file *o = (struct open_file *)f;
    *o = (struct open_file){.disk = &files[flags & SQLITE_OPEN_WAL ? LOG : DATABASE],
                            .real = sqlite3_malloc(real_vfs->szOsFile)};
    int rc = real_vfs->xOpen(real_vfs, name, o->real, flags, out);
    if (rc == SQLITE_OK)
        o->base.pMethods = &methods;
    else
        sqlite3_free(o->real);
    return rc;
}

static int delete_on(sqlite3_vfs *vfs, const char *name, int sync)
{
    (void)vfs;
    size_t n = strlen(name);
    if (n > 4 && strcmp(name + n - 4, "-wal") == 0) {
        forget(&files[LOG]);
        files[LOG].n = 0;
    }
    return real_vfs->xDelete(real_vfs, name, sync);
}

void crash_disk_start(const char *path, void (*event)(void))
{
    size_t n;
    char *bytes = read_file(path, &n);
    for (int i = 0; i < FILES; i++) {
        forget(&files[i]);
        files[i].n = 0;
    }
    put(&files[DATABASE], 0, bytes, n);
    on_event = event;
    chance_state = 1;
    real_vfs = sqlite3_vfs_find("unix");
    crash_vfs = *real_vfs;
    crash_vfs.zName = "crash";
    crash_vfs.szOsFile = (int)sizeof(struct open_file) > real_vfs->szOsFile
                             ? (int)sizeof(struct open_file)
                             : real_vfs->szOsFile;
    crash_vfs.xOpen = open_on;
    crash_vfs.xDelete = delete_on;
    sqlite3_vfs_register(&crash_vfs, 1);
}

void crash_disk_stop(void)
{
    sqlite3_vfs_unregister(&crash_vfs);
    sqlite3_vfs_register(real_vfs, 1);
    for (int i = 0; i < FILES; i++) {
        forget(&files[i]);
        free(files[i].changes);
        free(files[i].bytes);
        files[i] = (struct disk_file){0};
    }
}

static void write_image(const struct disk_file *f, enum crash_kind kind, const char *path)
{
    struct disk_file found = {0};
    put(&found, 0, f->n ? f->bytes : (const unsigned char *)"", f->n);
    for (size_t i = 0; i < f->n_changes; i++)
        if (kind == CRASH_EVERYTHING || (kind == CRASH_SOME && chance(2)))
            apply(&found, &f->changes[i], kind == CRASH_SOME);
    FILE *out = fopen(path, "wb");
    if (!out || fwrite(found.bytes, 1, found.n, out) != found.n || fclose(out) != 0)
        abort();
    free(found.bytes);
}

void crash_image(enum crash_kind kind, const char *image)
{
    char name[4096];
    write_image(&files[DATABASE], kind, image);
    snprintf(name, sizeof name, "%s-wal", image);
    write_image(&files[LOG], kind, name);
    snprintf(name, sizeof name, "%s-shm", image);
    unlink(name);
}
