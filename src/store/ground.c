/* The ground under an open show file. A mark is acknowledged only while the file that takes it is
 * the one that stands at its path: a file that was deleted, renamed, replaced by another or written
 * over would take marks that nobody finds again.
 *
 * Moved: the inode at the path is another one (SQLite asks that itself).
 * Written over (cp old.show larkspur.show): the inode is the same. In a write-ahead log only a
 * checkpoint writes into the file, and every checkpoint is written down in the shared index of the
 * log ('The WAL-Index File Format', section 2 of SQLite's 'WAL-mode File Format': the salts at byte
 * 32, nBackfill at 96, nBackfillAttempted at 128). A file whose time or size changed while that
 * record did not was written by another program; unless it holds the same bytes as before (touched,
 * or written back as it was), it is lost. While a checkpoint runs nothing is judged. */
#include <string.h>
#include <sys/stat.h>
#include <sys/vfs.h>
#include <stdio.h>

#include "store/inside.h"
#include "sys/file.h"

enum {
    SALTS = 32,
    BACKFILL = 96,
    ATTEMPTED = 128,
    INDEX_BYTES = 32768,
    COMPARED_MOST = 64 << 20, /* a larger file is not compared byte by byte */
    CHUNK = 65536
};

/* SQLite's own descriptor: closing another one of the same file would drop its locks. */
static sqlite3_file *file_of(struct store *s)
{
    sqlite3_file *f = NULL;
    return sqlite3_file_control(s->db, "main", SQLITE_FCNTL_FILE_POINTER, &f) == SQLITE_OK && f &&
                   f->pMethods
               ? f
               : NULL;
}

/* FNV-1a (Fowler, Noll, Vo), by words, over the file's bytes; 0 when it is too large or cannot be
 * read. */
static uint64_t digest(struct store *s, int64_t size)
{
    unsigned char chunk[CHUNK];
    sqlite3_file *f = file_of(s);
    uint64_t h = UINT64_C(14695981039346656037);
    if (!f || size > COMPARED_MOST)
        return 0;
    for (int64_t at = 0; at < size; at += CHUNK) {
        int n = size - at < CHUNK ? (int)(size - at) : CHUNK;
        if (f->pMethods->xRead(f, chunk, n, at) != SQLITE_OK)
            return 0;
        for (int i = 0; i + 8 <= n; i += 8) { /* pages are whole words */
            uint64_t word;
            memcpy(&word, chunk + i, sizeof word);
            h = (h ^ word) * UINT64_C(1099511628211);
        }
    }
    return h ? h : 1;
}

/* The record of checkpoints; false when it cannot be read or one is running. */
static bool checkpoints(struct store *s, unsigned char out[16])
{
    sqlite3_file *f = file_of(s);
    volatile void *index = NULL;
    if (!f || f->pMethods->iVersion < 2 || !f->pMethods->xShmMap ||
        f->pMethods->xShmMap(f, 0, INDEX_BYTES, 0, &index) != SQLITE_OK || !index)
        return false;
    const volatile unsigned char *p = index;
    for (int i = 0; i < 8; i++)
        out[i] = p[SALTS + i];
    for (int i = 0; i < 4; i++) {
        out[8 + i] = p[BACKFILL + i];
        out[12 + i] = p[ATTEMPTED + i];
    }
    return memcmp(out + 8, out + 12, 4) == 0;
}

static bool written_over(struct store *s)
{
    struct ground *g = &s->ground;
    unsigned char before[16], after[16];
    struct stat st;
    if (!checkpoints(s, before) || stat(s->path, &st) != 0 || !checkpoints(s, after) ||
        memcmp(before, after, sizeof before) != 0)
        return false;
    int64_t mtime = (int64_t)st.st_mtim.tv_sec * 1000000000 + st.st_mtim.tv_nsec;
    if (g->known && g->size == st.st_size && g->mtime_ns == mtime) {
        memcpy(g->checkpoints, after, sizeof after);
        return false;
    }
    uint64_t now = digest(s, st.st_size);
    if (!checkpoints(s, before) || memcmp(before, after, sizeof before) != 0)
        return false; /* a checkpoint came by meanwhile: another time */
    if (g->known && memcmp(g->checkpoints, after, sizeof after) == 0 && (!now || now != g->digest))
        return true;
    *g = (struct ground){.known = true, .size = st.st_size, .mtime_ns = mtime, .digest = now};
    memcpy(g->checkpoints, after, sizeof after);
    return false;
}

static bool lose(struct store *s, const char *why)
{
    s->ground.lost = true;
    snprintf(s->ground.why, sizeof s->ground.why, "%s", why);
    return true;
}

static bool is_lost(struct store *s)
{
    int moved = 0;
    struct stat st;
    if (s->ground.lost)
        return true;
    if (sqlite3_file_control(s->db, "main", SQLITE_FCNTL_HAS_MOVED, &moved) == SQLITE_OK && moved)
        return lose(s, stat(s->path, &st) != 0 ? "was deleted or renamed"
                                               : "was replaced by another file");
    return written_over(s) && lose(s, "was written over by another program");
}

/* What was opened for reading alone may not see what others write. */
static bool read_again(struct store *s, struct err *e)
{
    struct ground *g = &s->ground;
    struct stat st;
    if (stat(s->path, &st) != 0)
        return true;
    int64_t mtime = (int64_t)st.st_mtim.tv_sec * 1000000000 + st.st_mtim.tv_nsec;
    bool same = !g->known || (g->size == st.st_size && g->mtime_ns == mtime);
    if (!g->known)
        *g = (struct ground){.known = true, .size = st.st_size, .mtime_ns = mtime};
    return same ||
           err_set(e, ERR_FAILED,
                   "%s has changed since it was opened for reading; leave and open it again",
                   strrchr(s->path, '/') + 1);
}

bool ground_holds(struct store *s, struct err *e)
{
    if (s->read_only)
        return !s->frozen || read_again(s, e);
    return !is_lost(s) ||
           err_set(e, ERR_FAILED,
                   "%s %s while it was open; nothing is saved in it any more; :copy FILE saves a "
                   "copy and goes on there",
                   strrchr(s->path, '/') + 1, s->ground.why);
}

bool store_holds(struct store *s, struct err *e)
{
    return ground_holds(s, e);
}

/* --- file systems ---------------------------------------------------------------------------- */

/* Magic numbers of statfs(2). Shared memory between machines is what the log would need. */
static const struct {
    unsigned long magic;
    const char *name;
} networks[] = {
    {0x6969, "NFS"},      {0x517B, "SMB"},        {0xFF534D42, "CIFS"},
    {0xFE534D42, "SMB"},  {0x564C, "NCP"},        {0x5346414F, "AFS"},
    {0x6B414653, "AFS"},  {0x73757245, "Coda"},   {0x01021997, "9P"},
    {0x00C36400, "Ceph"}, {0x0BD00BD0, "Lustre"}, {0x7461636F, "OCFS2"},
    {0x01161970, "GFS2"}, {0x19830326, "BeeGFS"}, {0x786F4256, "a virtual machine's host"},
};

bool ground_is_local(const char *path, struct err *e)
{
    struct statfs fs;
    char kind[64];
    const char *name = NULL;
    if (statfs(path, &fs) != 0)
        return true; /* opening it will say why */
    for (size_t i = 0; i < sizeof networks / sizeof *networks; i++)
        if (((unsigned long)fs.f_type & 0xFFFFFFFFul) == networks[i].magic)
            name = networks[i].name;
    /* A program that serves files (a mounted cloud folder, a phone); disks that are mounted that
     * way say so themselves. */
    if (!name && file_system_kind(path, kind, sizeof kind)) {
        if (strncmp(kind, "fuse.", 5) == 0)
            name = kind + 5;
        else if (strcmp(kind, "fuse") == 0 || strcmp(kind, "virtiofs") == 0)
            name = kind;
    }
    return !name || err_set(e, ERR_SHOW,
                            "%s: lies in a network folder (%s), where marks could be lost; copy it "
                            "to a folder of this laptop, work there, and copy it back when nobody "
                            "has it open",
                            path, name);
}
