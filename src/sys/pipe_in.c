#include "sys/pipe_in.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

int pipe_in_open(const char *path, struct err *e)
{
    struct stat st;
    const int fd = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0 || fstat(fd, &st) != 0) {
        err_set(e, ERR_INPUT, "%s: %s", path, strerror(errno));
    } else if (!S_ISFIFO(st.st_mode)) {
        err_set(e, ERR_INPUT,
                "%s is no named pipe (a recording is heard by boxcall hear SHOW CLIP --voice)",
                path);
    } else {
        return fd;
    }
    if (fd >= 0)
        close(fd);
    return -1;
}

ssize_t pipe_in_read(int fd, void *to, size_t most, int wait_ms, struct err *e)
{
    struct pollfd ready = {.fd = fd, .events = POLLIN};
    const int any = poll(&ready, 1, wait_ms);
    if (any == 0 || (any < 0 && errno == EINTR))
        return 0;
    const ssize_t n = any < 0 ? -1 : read(fd, to, most);
    if (n > 0 || (n < 0 && (errno == EAGAIN || errno == EINTR)))
        return n > 0 ? n : 0;
    err_set(e, ERR_FAILED, "%s", n < 0 ? strerror(errno) : "the sound ended");
    return -1;
}

void pipe_in_close(int fd)
{
    close(fd);
}
