/* System calls that fail on demand, in front of the C library: linked first by the tests here, or
 * LD_PRELOADed in front of the program (SQLite takes its calls from the C library, so they come by
 * here too). Only regular files count, never standard input, output and error, nor what lies under
 * /proc, /sys, /dev, /etc, /usr, /lib.
 *
 *     BOXCALL_FAULT=write:17:ENOSPC   the 17th call of the kind fails, once
 *     BOXCALL_FAULT=write:17+:ENOSPC  that one and every later one
 *     BOXCALL_FAULT_COUNT=FILE        how many calls of each kind there were, one kind a line
 *     BOXCALL_FAULT_SYNC=skip         fsync() and fdatasync() come back at once
 *
 * Kinds: write sync read open size rename unlink map. Calls are counted per process, anew whenever
 * its environment is replaced (a test that forks gives its child one). */
/* Both names of each call are defined here, so neither may stand for the other. */
#undef _FILE_OFFSET_BITS
#undef _FORTIFY_SOURCE

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

#include "faults/shim.h"

extern char **environ;

enum kind { WRITE, SYNC, READ, OPEN, SIZE, RENAME, UNLINK, MAP, KINDS };
static const char *const kind_names[KINDS] = {"write", "sync",   "read",   "open",
                                              "size",  "rename", "unlink", "map"};
static const struct {
    const char *name;
    int error;
} errors[] = {{"EIO", EIO},       {"ENOSPC", ENOSPC}, {"EMFILE", EMFILE},
              {"EACCES", EACCES}, {"ENOMEM", ENOMEM}, {"EROFS", EROFS}};

static struct {
    char **seen; /* the environment that was read */
    long count[KINDS];
    enum kind kind; /* KINDS: none fails */
    long from;
    bool stays, skip_sync;
    int error;
    char count_to[300];
} f = {.kind = KINDS};

static void read_fault(const char *s)
{
    for (int k = 0; k < KINDS; k++) {
        size_t n = strlen(kind_names[k]);
        char *end;
        if (strncmp(s, kind_names[k], n) != 0 || s[n] != ':')
            continue;
        f.from = strtol(s + n + 1, &end, 10);
        f.stays = *end == '+';
        end += f.stays;
        for (size_t i = 0; i < sizeof errors / sizeof *errors; i++)
            if (*end == ':' && strcmp(end + 1, errors[i].name) == 0) {
                f.error = errors[i].error;
                f.kind = (enum kind)k;
                return;
            }
    }
    fprintf(stderr, "BOXCALL_FAULT=%s: not known\n", s);
    abort();
}

static void read_environment(void)
{
    if (f.seen == environ)
        return;
    memset(&f, 0, sizeof f);
    f.kind = KINDS;
    f.seen = environ;
    const char *fault = getenv("BOXCALL_FAULT"), *to = getenv("BOXCALL_FAULT_COUNT");
    f.skip_sync = getenv("BOXCALL_FAULT_SYNC") != NULL;
    if (to)
        snprintf(f.count_to, sizeof f.count_to, "%s", to);
    if (fault && *fault)
        read_fault(fault);
}

__attribute__((destructor)) void faults_tell_counts(void)
{
    if (f.seen != environ || !*f.count_to)
        return;
    long fd = syscall(SYS_openat, AT_FDCWD, f.count_to, O_WRONLY | O_CREAT | O_TRUNC, 0666);
    for (int k = 0; k < KINDS; k++) {
        char line[60];
        int n = snprintf(line, sizeof line, "%s %ld\n", kind_names[k], f.count[k]);
        syscall(SYS_write, fd, line, n);
    }
    syscall(SYS_close, fd);
}

/* --- does this call fail? -------------------------------------------------------------------- */

static bool due(enum kind k)
{
    long n = ++f.count[k];
    if (f.kind != k || (f.stays ? n < f.from : n != f.from))
        return false;
    errno = f.error;
    return true;
}

static bool fails_at(enum kind k, int fd)
{
    struct stat st;
    read_environment();
    int was = errno;
    bool counts = fd > STDERR_FILENO && fstat(fd, &st) == 0 && (S_ISREG(st.st_mode) || k == SYNC);
    errno = was;
    return counts && due(k);
}

static bool fails_on(enum kind k, const char *path)
{
    static const char *const others[] = {"/proc/", "/sys/", "/dev/", "/etc/", "/usr/", "/lib"};
    read_environment();
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (strncmp(path, others[i], strlen(others[i])) == 0 &&
            strncmp(path, "/dev/shm/", strlen("/dev/shm/")) != 0)
            return false;
    return due(k);
}

/* The function of that name behind this one. */
#define REAL(name)                                                                                 \
    static __typeof__(&name) real;                                                                 \
    if (!real)                                                                                     \
    *(void **)&real = dlsym(RTLD_NEXT, #name) /* as POSIX has it */

/* A call on a descriptor; -1 and errno when it fails. */
#define ON_FILE(type, name, kind, params, args)                                                    \
    type name params                                                                               \
    {                                                                                              \
        REAL(name);                                                                                \
        return fails_at(kind, fd) ? (type)-1 : real args;                                          \
    }

ON_FILE(ssize_t, write, WRITE, (int fd, const void *p, size_t n), (fd, p, n))
ON_FILE(ssize_t, pwrite, WRITE, (int fd, const void *p, size_t n, off_t at), (fd, p, n, at))
ON_FILE(ssize_t, pwrite64, WRITE, (int fd, const void *p, size_t n, off64_t at), (fd, p, n, at))
ON_FILE(ssize_t, writev, WRITE, (int fd, const struct iovec *v, int n), (fd, v, n))
ON_FILE(ssize_t, pwritev, WRITE, (int fd, const struct iovec *v, int n, off_t at), (fd, v, n, at))
ON_FILE(ssize_t, read, READ, (int fd, void *p, size_t n), (fd, p, n))
ON_FILE(ssize_t, pread, READ, (int fd, void *p, size_t n, off_t at), (fd, p, n, at))
ON_FILE(ssize_t, pread64, READ, (int fd, void *p, size_t n, off64_t at), (fd, p, n, at))
ON_FILE(ssize_t, readv, READ, (int fd, const struct iovec *v, int n), (fd, v, n))
ON_FILE(int, ftruncate, SIZE, (int fd, off_t n), (fd, n))
ON_FILE(int, ftruncate64, SIZE, (int fd, off64_t n), (fd, n))
ON_FILE(int, fallocate, SIZE, (int fd, int mode, off_t at, off_t n), (fd, mode, at, n))
ON_FILE(int, fallocate64, SIZE, (int fd, int mode, off64_t at, off64_t n), (fd, mode, at, n))

int posix_fallocate(int fd, off_t at, off_t n)
{
    REAL(posix_fallocate);
    return fails_at(SIZE, fd) ? f.error : real(fd, at, n);
}

int posix_fallocate64(int fd, off64_t at, off64_t n)
{
    REAL(posix_fallocate64);
    return fails_at(SIZE, fd) ? f.error : real(fd, at, n);
}

int fsync(int fd)
{
    REAL(fsync);
    return fails_at(SYNC, fd) ? -1 : f.skip_sync ? 0 : real(fd);
}

int fdatasync(int fd)
{
    REAL(fdatasync);
    return fails_at(SYNC, fd) ? -1 : f.skip_sync ? 0 : real(fd);
}

void *mmap(void *at, size_t n, int protect, int flags, int fd, off_t from)
{
    REAL(mmap);
    return fails_at(MAP, fd) ? MAP_FAILED : real(at, n, protect, flags, fd, from);
}

void *mmap64(void *at, size_t n, int protect, int flags, int fd, off64_t from)
{
    REAL(mmap64);
    return fails_at(MAP, fd) ? MAP_FAILED : real(at, n, protect, flags, fd, from);
}

/* --- calls on a name ------------------------------------------------------------------------- */

static mode_t mode_after(int flags, va_list rest)
{
    return flags & (O_CREAT | __O_TMPFILE) ? va_arg(rest, mode_t) : 0;
}

#define OPENS(name, params, args)                                                                  \
    int name params                                                                                \
    {                                                                                              \
        REAL(name);                                                                                \
        va_list rest;                                                                              \
        va_start(rest, flags);                                                                     \
        mode_t mode = mode_after(flags, rest);                                                     \
        va_end(rest);                                                                              \
        return fails_on(OPEN, path) ? -1 : real args;                                              \
    }

OPENS(open, (const char *path, int flags, ...), (path, flags, mode))
OPENS(open64, (const char *path, int flags, ...), (path, flags, mode))
OPENS(openat, (int folder, const char *path, int flags, ...), (folder, path, flags, mode))
OPENS(openat64, (int folder, const char *path, int flags, ...), (folder, path, flags, mode))

int rename(const char *path, const char *to)
{
    REAL(rename);
    return fails_on(RENAME, path) ? -1 : real(path, to);
}

int unlink(const char *path)
{
    REAL(unlink);
    return fails_on(UNLINK, path) ? -1 : real(path);
}
