#include "sys/faults.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stddef.h>
#include <sys/types.h>

static struct {
    bool armed, fired, dribble, interrupted;
    int left, error;
    const char *call;
} f;

void fault_at(int n, int error)
{
    f.armed = true;
    f.fired = false;
    f.left = n;
    f.error = error;
    f.call = "none";
}

void fault_dribble(bool on)
{
    f.dribble = on;
    f.interrupted = false;
}

bool fault_end(void)
{
    f.armed = false;
    return f.fired;
}

const char *fault_call(void)
{
    return f.call;
}

static bool due(const char *call)
{
    if (!f.armed || f.fired || --f.left != 0)
        return false;
    f.fired = true;
    f.call = call;
    errno = f.error;
    return true;
}

/* Every other call is interrupted before it did anything. */
static bool interrupted(void)
{
    if (!f.dribble)
        return false;
    f.interrupted = !f.interrupted;
    errno = EINTR;
    return f.interrupted;
}

static mode_t mode_after(int flags, va_list rest)
{
    return flags & O_CREAT ? va_arg(rest, mode_t) : 0;
}

/* The linker's names: __wrap_X is called for X, __real_X is X. */
int __real_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = mode_after(flags, rest);
    va_end(rest);
    return due("open") ? -1 : __real_open(path, flags, mode);
}

int __real_open64(const char *path, int flags, ...);
int __wrap_open64(const char *path, int flags, ...);
int __wrap_open64(const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = mode_after(flags, rest);
    va_end(rest);
    return due("open") ? -1 : __real_open64(path, flags, mode);
}

ssize_t __real_read(int fd, void *p, size_t n);
ssize_t __wrap_read(int fd, void *p, size_t n);
ssize_t __wrap_read(int fd, void *p, size_t n)
{
    if (interrupted() || due("read"))
        return -1;
    return __real_read(fd, p, f.dribble && n > 3 ? 3 : n);
}

ssize_t __real_write(int fd, const void *p, size_t n);
ssize_t __wrap_write(int fd, const void *p, size_t n);
ssize_t __wrap_write(int fd, const void *p, size_t n)
{
    if (interrupted() || due("write"))
        return -1;
    return __real_write(fd, p, f.dribble && n > 1 ? 1 : n);
}

int __real_fsync(int fd);
int __wrap_fsync(int fd);
int __wrap_fsync(int fd)
{
    return due("fsync") ? -1 : __real_fsync(fd);
}

int __real_fchmod(int fd, mode_t mode);
int __wrap_fchmod(int fd, mode_t mode);
int __wrap_fchmod(int fd, mode_t mode)
{
    return due("fchmod") ? -1 : __real_fchmod(fd, mode);
}

int __real_close(int fd);
int __wrap_close(int fd);
int __wrap_close(int fd)
{
    int closed = __real_close(fd);
    return due("close") ? -1 : closed;
}

int __real_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to)
{
    return due("rename") ? -1 : __real_rename(from, to);
}
