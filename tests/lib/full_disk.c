#include "lib/full_disk.h"

#include <dlfcn.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static int hits;
static size_t left;
static const char *full_word; /* the caller's; NULL: none */

void full_disk(const char *word, size_t room)
{
    hits = 0;
    full_word = word;
    left = room;
}

int full_disk_hits(void)
{
    return hits;
}

static int is_there(int fd)
{
    char link[40], path[1024];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    const ssize_t n = readlink(link, path, sizeof path - 1);
    if (n <= 0)
        return 0;
    path[n] = '\0';
    return strstr(path, full_word) != NULL;
}

/* As a file system does it: what still fits is written, the next call fails. False: nothing fits. */
static int fits(int fd, size_t *n)
{
    if (!full_word || !is_there(fd))
        return 1;
    if (left == 0) {
        hits++;
        errno = ENOSPC;
        return 0;
    }
    *n = *n < left ? *n : left;
    left -= *n;
    return 1;
}

__attribute__((visibility("default"))) ssize_t write(int fd, const void *p, size_t n)
{
    static ssize_t (*real)(int, const void *, size_t);
    if (!real)
        *(void **)&real = dlsym(RTLD_NEXT, "write");
    return fits(fd, &n) ? real(fd, p, n) : -1;
}

/* SQLite's. */
__attribute__((visibility("default"))) ssize_t pwrite64(int fd, const void *p, size_t n, off64_t at)
{
    static ssize_t (*real)(int, const void *, size_t, off64_t);
    if (!real)
        *(void **)&real = dlsym(RTLD_NEXT, "pwrite64");
    return fits(fd, &n) ? real(fd, p, n, at) : -1;
}
