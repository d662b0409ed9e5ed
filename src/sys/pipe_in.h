/* A named pipe (mkfifo) that another program writes into, read without waiting longer than one wants. */
#ifndef SYS_PIPE_IN_H
#define SYS_PIPE_IN_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

#include "base/err.h"

/* A descriptor, or -1 with e set. Nobody needs to write into it yet. */
int pipe_in_open(const char *path, struct err *e);
/* Up to `most` bytes; waits for the first of them so long. 0: none came. -1 with e set: whoever wrote
 * has ended, or it cannot be read. */
ssize_t pipe_in_read(int fd, void *to, size_t most, int wait_ms, struct err *e);
void pipe_in_close(int fd);

#endif
