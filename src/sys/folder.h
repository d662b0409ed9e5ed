/* Folders that the program fills. */
#ifndef SYS_FOLDER_H
#define SYS_FOLDER_H

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"

/* Makes the folder unless it is there; the one it is in must be. */
bool folder_make(const char *path, struct err *e);
/* Takes the file away; that there is none is no error. */
bool folder_drop(const char *path, struct err *e);
/* Takes the folder away if it is empty. */
void folder_drop_empty(const char *path);
/* Takes away what a program of ours that was killed has left of files it was writing there (the names
 * of file_temp_beside() and file_write()), if nothing was written to them for so many seconds. */
void folder_sweep(const char *path, int64_t quiet_s);
/* The size of a regular file; false when there is none. */
bool folder_size(const char *path, int64_t *bytes);
/* Size in bytes and time of the last change in nanoseconds of what is at the path, links followed;
 * false when there is nothing. */
bool folder_look(const char *path, int64_t out[2]);
/* Waits until all that was written to the folder's file system is on the disk. */
bool folder_settle(const char *path, struct err *e);

/* Keeps other programs of ours away until folder_free() or the end of the program, by a lock on this
 * file, which is made when there is none. -1: another has it, or it cannot be written. */
int folder_take(const char *file, struct err *e);
void folder_free(int taken);

#endif
