/* The one door to files: whole-file reads with a limit, and writes that are all or nothing. */
#ifndef SYS_FILE_H
#define SYS_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "base/err.h"

/* Reads a regular file ("-" is standard input) into out, at most limit bytes.
 * Errors name the path and what it is: missing, a directory, too large, not readable. */
bool file_read(const char *path, size_t limit, struct buf *out, struct err *e);

/* Writes bytes to path: a temporary file beside it, fsync, rename, fsync of the directory. A file
 * that was there keeps its mode, and is refused when it may not be written. On failure path is as
 * it was and no temporary file is left; only when the directory alone cannot be synced is the new
 * file there, and the error says so. A limit on file size shows as a failure only if the program
 * ignores SIGXFSZ. */
bool file_write(const char *path, const void *bytes, size_t n, struct err *e);

/* The same without waiting for the disk: after a power loss the file may be the old one, the new one
 * or empty. For many files that can be made again; folder_settle() waits for all of them at once. */
bool file_write_soon(const char *path, const void *bytes, size_t n, struct err *e);

/* Adds to the end of a file, which is made when there is none; does not wait for the disk. */
bool file_append(const char *path, const void *bytes, size_t n, struct err *e);

/* Gives a finished temporary file its name, durably: fsync, link to the name (which must not
 * exist), fsync of the directory. On failure the temporary file is left to the caller. */
bool file_settle(const char *temp, const char *to, struct err *e);

/* For what a library writes and file_write() therefore cannot: an empty temporary file of a new name
 * beside path. Heap memory, or NULL with e set. */
char *file_temp_beside(const char *path, struct err *e);
/* Gives it its name when it is whole, durably: fsync, rename (a file that was there is replaced and
 * keeps its mode; a link is replaced itself), fsync of the directory. On failure path is as it was and the temporary file is
 * gone; only when the directory alone cannot be synced is the new file there. */
bool file_place(const char *temp, const char *path, struct err *e);

/* The kind of file system a path lies on, as the system names it ("ext4", "fuse.sshfs"), from the
 * list of mounts; false when it cannot be told. */
bool file_system_kind(const char *path, char *out, size_t size);

bool file_exists(const char *path);
/* Is it a regular file? Otherwise says what it is instead (missing, a directory, a device ...). */
bool file_is_regular(const char *path, struct err *e);

/* Absolute path without symbolic links; for a file that does not exist yet, of its directory.
 * Returns heap memory, or NULL with e set. */
char *file_absolute(const char *path, struct err *e);

/* The absolute folder of the regular file that an open descriptor writes into; heap memory, NULL
 * when it is no such file (a pipe, a terminal, one that was deleted). */
char *file_folder_behind(int fd);

/* $XDG_CONFIG_HOME or ~/.config, then /boxcall/NAME; heap memory, NULL when there is no home. */
char *file_config_path(const char *name);

#endif
