#include "pane/wire.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* What a terminal that gives no answers is trusted to take, bytes a second. */
enum { BLIND_BPS = 256 * 1024 };
/* What fits when poll() says that there is room. */
enum { SHARED_BIT = 256 };

bool wire_open(struct wire *w, int fd, bool answers, size_t bound, struct err *e)
{
    *w = (struct wire){.fd = -1, .answers = answers, .bound = bound};
    char path[64];
    if (ttyname_r(fd, path, sizeof path) != 0)
        snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    w->fd = open(path, O_WRONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    w->shared = w->fd < 0;
    if (w->shared)
        w->fd = fcntl(fd, F_DUPFD_CLOEXEC, 0);
    if (w->fd < 0)
        return err_set(e, ERR_FAILED, "picture pane: %s: %s; use a window or no picture", path,
                       strerror(errno));
    return true;
}

void wire_close(struct wire *w)
{
    if (w->fd >= 0)
        close(w->fd);
    buf_free(&w->segment);
    *w = (struct wire){.fd = -1};
}

static void forget_flight(struct wire *w)
{
    w->late += w->in_flight;
    w->in_flight = 0;
    w->flight_bytes = 0;
}

bool wire_ready(struct wire *w, size_t bytes, int64_t now_us)
{
    if (w->dead || wire_busy(w))
        return false;
    if (!w->answers)
        return now_us >= w->next_us;
    if (w->in_flight > 0 && now_us - w->flight[0].at_us >= WIRE_SILENCE_US)
        forget_flight(w);
    if (w->in_flight == 0)
        return true;
    return w->in_flight < WIRE_SEGMENTS && w->flight_bytes + bytes <= w->bound;
}

bool wire_busy(const struct wire *w)
{
    return !w->dead && w->sent < w->segment.n;
}

static void segment_out(struct wire *w, int64_t now_us)
{
    const size_t n = w->segment.n;
    w->bytes += (int64_t)n;
    w->segments++;
    buf_clear(&w->segment);
    w->sent = 0;
    if (!w->answers) {
        w->next_us = now_us + (int64_t)n * 1000000 / BLIND_BPS;
        return;
    }
    if (w->in_flight == WIRE_SEGMENTS)
        forget_flight(w);
    w->flight_bytes += n;
    w->flight[w->in_flight].bytes = n;
    w->flight[w->in_flight].ahead = w->flight_bytes;
    w->flight[w->in_flight++].at_us = now_us;
    if (w->flight_bytes > w->flight_most)
        w->flight_most = w->flight_bytes;
}

static ssize_t write_some(const struct wire *w, const char *p, size_t n)
{
    if (w->shared) {
        struct pollfd room = {.fd = w->fd, .events = POLLOUT};
        if (poll(&room, 1, 0) == 0)
            return 0;
        n = n < SHARED_BIT ? n : SHARED_BIT;
    }
    return write(w->fd, p, n);
}

bool wire_write(struct wire *w, int64_t now_us)
{
    if (!wire_busy(w))
        return true;
    while (w->sent < w->segment.n) {
        const ssize_t n = write_some(w, w->segment.p + w->sent, w->segment.n - w->sent);
        if (n > 0) {
            w->sent += (size_t)n;
        } else if (n == 0 || errno == EAGAIN) {
            return false;
        } else if (errno != EINTR) {
            w->dead = true;
            return true;
        }
    }
    segment_out(w, now_us);
    return true;
}

void wire_acknowledge(struct wire *w, int64_t now_us)
{
    if (w->late > 0) {
        w->late--;
        return;
    }
    if (w->in_flight == 0)
        return;
    const size_t n = w->flight[0].bytes;
    const int64_t took_us = now_us - w->flight[0].at_us;
    if (n >= 1024) { /* small ones measure the way, not the width of the line */
        const int64_t bps = (int64_t)w->flight[0].ahead * 1000000 / (took_us > 20 ? took_us : 20);
        /* a late look at the answer makes it seem slow, so it falls slower than it rises */
        w->rate_bps = bps > w->rate_bps ? bps : (w->rate_bps * 7 + bps) / 8;
    }
    w->flight_bytes -= n;
    w->in_flight--;
    memmove(w->flight, w->flight + 1, (size_t)w->in_flight * sizeof *w->flight);
}

int wire_awaited(const struct wire *w)
{
    return w->dead ? 0 : w->in_flight + w->late + (w->answers && wire_busy(w));
}

int64_t wire_wait_us(const struct wire *w, int64_t now_us)
{
    if (w->dead)
        return -1;
    int64_t at_us = w->next_us;
    if (w->answers) {
        if (w->in_flight == 0)
            return 0;
        at_us = w->flight[0].at_us + WIRE_SILENCE_US;
    }
    return at_us > now_us ? at_us - now_us : 0;
}

void wire_drain(struct wire *w, int timeout_ms, int64_t now_us)
{
    while (!wire_write(w, now_us)) {
        struct pollfd p = {.fd = w->fd, .events = POLLOUT};
        const int ready = poll(&p, 1, timeout_ms);
        if (ready == 0 || (ready < 0 && errno != EINTR))
            return;
    }
}
