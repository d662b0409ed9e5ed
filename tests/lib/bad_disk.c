#include "lib/bad_disk.h"

#include <dlfcn.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static int hits;
static long bad_from;
static const char *bad_name; /* the caller's; NULL: none */

void bad_disk(const char *name, size_t at)
{
    hits = 0;
    bad_name = name;
    bad_from = (long)at;
}

int bad_disk_hits(void)
{
    return hits;
}

/* Bytes from the descriptor's place to where its file cannot be read, or -1: it can. */
static long sound_bytes(int fd)
{
    char link[40], path[1024];
    if (!bad_name)
        return -1;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    const ssize_t n = readlink(link, path, sizeof path);
    const ssize_t len = (ssize_t)strlen(bad_name);
    if (n < len || strncmp(path + n - len, bad_name, (size_t)len) != 0)
        return -1;
    const long here = lseek(fd, 0, SEEK_CUR);
    return here < bad_from ? bad_from - here : 0;
}

__attribute__((visibility("default"))) ssize_t read(int fd, void *p, size_t n)
{
    static ssize_t (*real)(int, void *, size_t);
    if (!real)
        *(void **)&real = dlsym(RTLD_NEXT, "read");
    const long sound = sound_bytes(fd);
    if (sound == 0) {
        hits++;
        errno = EIO;
        return -1;
    }
    return real(fd, p, sound > 0 && (size_t)sound < n ? (size_t)sound : n);
}
