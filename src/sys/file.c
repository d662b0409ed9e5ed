#include "sys/file.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/arena.h"
#include "sys/clock.h"

static bool fail(struct err *e, const char *path, const char *doing)
{
    return err_set(e, ERR_FAILED, "%s: cannot %s: %s", path, doing, strerror(errno));
}

static const char *kind_of(mode_t mode)
{
    return S_ISDIR(mode)    ? "a directory"
           : S_ISFIFO(mode) ? "a pipe"
           : S_ISSOCK(mode) ? "a socket"
                            : "a device";
}

bool file_exists(const char *path)
{
    struct stat st;
    return stat(path, &st) == 0;
}

bool file_is_regular(const char *path, struct err *e)
{
    struct stat st;
    if (stat(path, &st) != 0)
        return errno == ENOENT ? err_set(e, ERR_INPUT, "%s: there is no such file", path)
                               : fail(e, path, "look at it");
    if (!S_ISREG(st.st_mode))
        return err_set(e, ERR_INPUT, "%s: is %s; name a file", path, kind_of(st.st_mode));
    return true;
}

static bool read_all(int fd, const char *path, size_t limit, struct buf *out, struct err *e)
{
    char chunk[65536];
    for (;;) {
        ssize_t n = read(fd, chunk, sizeof chunk);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return fail(e, path, "read it");
        if (n == 0)
            return true;
        if (out->n + (size_t)n > limit)
            return err_set(e, ERR_INPUT, "%s: larger than %zu %s; is it the right file?", path,
                           limit < 1 << 20 ? limit : limit >> 20, limit < 1 << 20 ? "bytes" : "MB");
        buf_add(out, chunk, (size_t)n);
    }
}

bool file_read(const char *path, size_t limit, struct buf *out, struct err *e)
{
    if (strcmp(path, "-") == 0)
        return read_all(STDIN_FILENO, "standard input", limit, out, e);
    if (!file_is_regular(path, e))
        return false;
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return fail(e, path, "open it");
    bool ok = read_all(fd, path, limit, out, e);
    close(fd);
    return ok;
}

static bool write_all(int fd, const void *bytes, size_t n)
{
    const char *p = bytes;
    while (n > 0) {
        ssize_t w = write(fd, p, n);
        if (w < 0 && errno == EINTR)
            continue;
        if (w < 0)
            return false;
        p += w;
        n -= (size_t)w;
    }
    return true;
}

static bool sync_directory_of(const char *path)
{
    char *copy = xstrdup(path);
    int fd = open(dirname(copy), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    free(copy);
    if (fd < 0)
        return false;
    /* Some file systems cannot sync a directory (EINVAL); there is nothing better to do then. */
    bool ok = fsync(fd) == 0 || errno == EINVAL;
    close(fd);
    return ok;
}

struct content {
    const void *bytes;
    size_t n;
    bool soon; /* the disk is not waited for */
};

/* chmod, write, fsync, close: each result counts, since a full disk may show up at any of them. */
static bool fill_and_close(int fd, mode_t mode, const struct content *c)
{
    bool ok = (!mode || fchmod(fd, mode) == 0) && write_all(fd, c->bytes, c->n) &&
              (c->soon || fsync(fd) == 0);
    int kept = errno;
    if (close(fd) != 0 && ok)
        return false;
    errno = kept;
    return ok;
}

/* A device or a pipe cannot be replaced by a rename, so it is written straight. */
static bool write_straight(const char *path, const void *bytes, size_t n, struct err *e)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC);
    if (fd < 0)
        return fail(e, path, "open it");
    bool ok = write_all(fd, bytes, n) || fail(e, path, "write it");
    return close(fd) == 0 ? ok : ok && fail(e, path, "write it");
}

/* Makes a file of a new name beside path; returns its descriptor, or -1 with errno set. The name
 * does not grow with path's, which may be as long as the system allows. */
static int make_beside(const char *path, mode_t mode, char **name)
{
    const char *slash = strrchr(path, '/');
    int folder = slash ? (int)(slash - path) + 1 : 0;
    size_t size = (size_t)folder + 32;
    *name = xrealloc(NULL, size);
    for (int tries = 0; tries < 100; tries++) {
        uint64_t any;
        random_bytes(&any, sizeof any);
        snprintf(*name, size, "%.*s.boxcall-%016" PRIx64, folder, path, any);
        int fd = open(*name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, mode);
        if (fd >= 0 || errno != EEXIST)
            return fd;
    }
    return -1;
}

/* All or nothing; `at` is path without symbolic links, so that a link stays one. */
static bool replace(const char *path, const char *at, mode_t mode, const struct content *c,
                    struct err *e)
{
    char *temp;
    int fd = make_beside(at, mode ? mode : 0666, &temp);
    bool ok = fd >= 0 && fill_and_close(fd, mode, c) && rename(temp, at) == 0;
    if (!ok) {
        fail(e, path, "write it");
        if (fd >= 0)
            unlink(temp);
    }
    free(temp);
    return ok && (c->soon || sync_directory_of(at) || fail(e, path, "make it durable"));
}

static bool write_file(const char *path, const struct content *c, struct err *e)
{
    struct stat st;
    if (stat(path, &st) != 0)
        return replace(path, path, 0, c, e);
    if (S_ISDIR(st.st_mode))
        return err_set(e, ERR_INPUT, "%s: is a directory; name a file", path);
    if (!S_ISREG(st.st_mode))
        return write_straight(path, c->bytes, c->n, e);
    char *at = realpath(path, NULL);
    if (!at || access(at, W_OK) != 0) {
        fail(e, path, "write it");
        free(at);
        return false;
    }
    /* Who could read the old file can read the new one, and nobody else. */
    bool ok = replace(path, at, st.st_mode & 0777, c, e);
    free(at);
    return ok;
}

bool file_write(const char *path, const void *bytes, size_t n, struct err *e)
{
    return write_file(path, &(struct content){bytes, n, false}, e);
}

bool file_write_soon(const char *path, const void *bytes, size_t n, struct err *e)
{
    return write_file(path, &(struct content){bytes, n, true}, e);
}

bool file_append(const char *path, const void *bytes, size_t n, struct err *e)
{
    const int fd = open(path, O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0666);
    if (fd < 0)
        return fail(e, path, "open it");
    const bool ok = write_all(fd, bytes, n) || fail(e, path, "write it");
    return close(fd) == 0 ? ok : ok && fail(e, path, "write it");
}

bool file_settle(const char *temp, const char *to, struct err *e)
{
    int fd = open(temp, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return fail(e, to, "copy to it");
    bool ok = fsync(fd) == 0;
    close(fd);
    if (!ok || (link(temp, to) != 0 && (errno == EEXIST || rename(temp, to) != 0)))
        return errno == EEXIST
                   ? err_set(e, ERR_INPUT, "%s: is there already; choose another name", to)
                   : fail(e, to, "copy to it");
    unlink(temp);
    return sync_directory_of(to) || fail(e, to, "make it durable");
}

char *file_temp_beside(const char *path, struct err *e)
{
    struct stat st;
    if (stat(path, &st) == 0 && !S_ISREG(st.st_mode)) {
        err_set(e, ERR_INPUT, "%s: is %s; name a file", path, kind_of(st.st_mode));
        return NULL;
    }
    char *temp;
    const int fd = make_beside(path, 0666, &temp);
    if (fd >= 0 && close(fd) == 0)
        return temp;
    fail(e, path, "write it");
    if (fd >= 0)
        unlink(temp);
    free(temp);
    return NULL;
}

bool file_place(const char *temp, const char *path, struct err *e)
{
    struct stat st;
    const int fd = open(temp, O_RDONLY | O_CLOEXEC);
    bool ok = fd >= 0 && (stat(path, &st) != 0 || fchmod(fd, st.st_mode & 0777) == 0) &&
              fsync(fd) == 0 && rename(temp, path) == 0;
    if (!ok) {
        fail(e, path, "write it");
        unlink(temp);
    }
    if (fd >= 0)
        close(fd);
    return ok && (sync_directory_of(path) || fail(e, path, "make it durable"));
}

char *file_absolute(const char *path, struct err *e)
{
    char *full = realpath(path, NULL);
    if (full)
        return full;
    if (!*path) {
        err_set(e, ERR_INPUT, "'' is no file name; give one");
        return NULL;
    }
    char *copy = xstrdup(path), *copy2 = xstrdup(path);
    char *dir = realpath(dirname(copy), NULL);
    if (!dir) {
        err_set(e, ERR_INPUT, "%s: the folder it should be in does not exist", path);
    } else {
        const char *base = basename(copy2);
        full = xrealloc(NULL, strlen(dir) + strlen(base) + 2);
        sprintf(full, "%s/%s", strcmp(dir, "/") == 0 ? "" : dir, base);
    }
    free(dir);
    free(copy);
    free(copy2);
    return full;
}

char *file_folder_behind(int fd)
{
    struct stat st;
    char link[40], path[PATH_MAX];
    if (fstat(fd, &st) != 0 || !S_ISREG(st.st_mode) || st.st_nlink == 0)
        return NULL;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    const ssize_t n = readlink(link, path, sizeof path - 1);
    if (n <= 0 || path[0] != '/')
        return NULL;
    path[n] = '\0';
    return xstrdup(dirname(path));
}

char *file_config_path(const char *name)
{
    const char *base = getenv("XDG_CONFIG_HOME"), *home = getenv("HOME"), *between = "";
    if (!base || base[0] != '/') {
        base = home;
        between = "/.config";
    }
    if (!base || base[0] != '/')
        return NULL;
    char *path = xrealloc(NULL, strlen(base) + strlen(name) + 24);
    sprintf(path, "%s%s/boxcall/%s", base, between, name);
    return path;
}
