#include "sys/folder.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static bool fail(struct err *e, const char *path, const char *doing)
{
    return err_set(e, ERR_FAILED, "%s: cannot %s: %s", path, doing, strerror(errno));
}

bool folder_make(const char *path, struct err *e)
{
    struct stat st;
    if (mkdir(path, 0777) == 0)
        return true;
    if (errno != EEXIST)
        return fail(e, path, "make the folder");
    if (stat(path, &st) != 0)
        return fail(e, path, "look at it");
    return S_ISDIR(st.st_mode) ||
           err_set(e, ERR_INPUT, "%s: is a file; name a folder for the pages", path);
}

bool folder_drop(const char *path, struct err *e)
{
    return unlink(path) == 0 || errno == ENOENT || fail(e, path, "take it away");
}

void folder_drop_empty(const char *path)
{
    rmdir(path);
}

/* ".boxcall-" and 16 hex digits */
static bool is_temp(const char *name)
{
    static const char begins[] = ".boxcall-";
    const size_t n = sizeof begins - 1;
    return strncmp(name, begins, n) == 0 && strlen(name) == n + 16 &&
           strspn(name + n, "0123456789abcdef") == 16;
}

void folder_sweep(const char *path, int64_t quiet_s)
{
    const int fd = open(path, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    DIR *d = fd >= 0 ? fdopendir(fd) : NULL;
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    for (struct dirent *f; d && (f = readdir(d));) {
        struct stat st;
        if (is_temp(f->d_name) && fstatat(fd, f->d_name, &st, AT_SYMLINK_NOFOLLOW) == 0 &&
            S_ISREG(st.st_mode) && now.tv_sec - st.st_mtime >= quiet_s)
            unlinkat(fd, f->d_name, 0);
    }
    if (d)
        closedir(d);
    else if (fd >= 0)
        close(fd);
}

bool folder_size(const char *path, int64_t *bytes)
{
    struct stat st;
    if (lstat(path, &st) != 0 || !S_ISREG(st.st_mode))
        return false;
    *bytes = st.st_size;
    return true;
}

bool folder_look(const char *path, int64_t out[2])
{
    struct stat st;
    if (stat(path, &st) != 0)
        return false;
    out[0] = st.st_size;
    out[1] = (int64_t)st.st_mtim.tv_sec * 1000000000 + st.st_mtim.tv_nsec;
    return true;
}

bool folder_settle(const char *path, struct err *e)
{
    const int fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool ok = fd >= 0 && syncfs(fd) == 0;
    if (!ok)
        fail(e, path, "make it durable");
    if (fd >= 0)
        close(fd);
    return ok;
}

int folder_take(const char *file, struct err *e)
{
    struct flock whole = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
    const int fd = open(file, O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (fd < 0) {
        fail(e, file, "write it");
        return -1;
    }
    /* Some file systems have no locks; there is nothing better to do then. */
    if (fcntl(fd, F_OFD_SETLK, &whole) == 0 || (errno != EAGAIN && errno != EACCES))
        return fd;
    err_set(e, ERR_FAILED, "%s: another boxcall is writing there; wait until it is done", file);
    close(fd);
    return -1;
}

void folder_free(int taken)
{
    if (taken >= 0)
        close(taken);
}
