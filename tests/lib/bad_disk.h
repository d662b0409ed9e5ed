/* A disk that fails: in a program that is linked with bad_disk.c, read() of a file whose name ends
 * in a given name fails with EIO from a given byte on, in libraries too. */
#ifndef LIB_BAD_DISK_H
#define LIB_BAD_DISK_H

#include <stddef.h>

/* In this process and those it forks. NULL: the disk is sound again. */
void bad_disk(const char *name, size_t at);
/* How often it failed in this process. */
int bad_disk_hits(void);

#endif
