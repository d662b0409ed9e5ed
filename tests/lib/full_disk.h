/* A disk that is full: in a program that is linked with full_disk.c, write() and pwrite() fail with ENOSPC once
 * so many bytes were written to files whose path holds a given word, in libraries too. */
#ifndef LIB_FULL_DISK_H
#define LIB_FULL_DISK_H

#include <stddef.h>

/* NULL: there is room again. */
void full_disk(const char *word, size_t room);
/* How often it failed since. */
int full_disk_hits(void);

#endif
