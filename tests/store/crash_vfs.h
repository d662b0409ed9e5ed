/* A disk that can lose power: an SQLite VFS in front of the system's own that remembers what was
 * written to a database and its log since their last sync. After the idea of SQLite's own
 * src/test6.c.
 *
 * Limits of the model: a file that is made or deleted is so at once; the shared-memory file is not
 * carried over (SQLite makes it anew); sectors are 512 bytes and a sector is written whole or not
 * at all; the promise of power-safe overwrites is taken away. Real syncs are left out. */
#ifndef STORE_CRASH_VFS_H
#define STORE_CRASH_VFS_H

#include <stddef.h>

/* From now on every database opens on that disk. The file at path is durable as it is. `event` is
 * called after every write, truncation and sync. */
void crash_disk_start(const char *path, void (*event)(void));
/* Back to the system's disk. */
void crash_disk_stop(void);

enum crash_kind {
    CRASH_NOTHING_MORE, /* nothing since the last sync reached the disk */
    CRASH_EVERYTHING,   /* all of it did */
    CRASH_SOME,         /* some sectors of some writes, by chance */
    CRASH_KINDS,
};
/* What would be found after losing power now, as image and image-wal. */
void crash_image(enum crash_kind kind, const char *image);

#endif
