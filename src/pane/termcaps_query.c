#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include "base/buf.h"
#include "pane/graphics.h"
#include "pane/termcaps.h"
#include "sys/clock.h"

enum { REPLIES_MOST = 8192 };

/* One black pixel in shared memory, for the terminal to find if it is on this machine. */
static bool pixel_shared(char *name, size_t cap)
{
    snprintf(name, cap, "/boxcall-query-%ld", (long)getpid());
    const int fd = shm_open(name, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0)
        return false;
    const bool done = write(fd, "\0\0\0", 3) == 3;
    close(fd);
    return done;
}

static bool is_set(term_getenv env, const char *name)
{
    const char *value = env(name);
    return value && *value;
}

/* Terminals that print what they do not understand are asked for nothing but DSR and DA1. */
static bool is_simple(term_getenv env)
{
    const char *term = env("TERM");
    return !term || strcmp(term, "linux") == 0 || strncmp(term, "vt", 2) == 0 || is_set(env, "STY");
}

/* Not inside tmux, which takes the string of a graphics query for a title. */
static void ask_graphics(struct buf *out, const char *shared)
{
    buf_str(out, "\033_Gi=31,s=1,v=1,a=q,t=d,f=24;AAAA\033\\");
    if (!shared)
        return;
    buf_str(out, "\033_Gi=32,s=1,v=1,a=q,t=s,f=24;");
    base64_add(out, (const uint8_t *)shared, strlen(shared));
    buf_str(out, "\033\\");
}

static void burst(struct buf *out, term_getenv env, const char *shared)
{
    if (!is_simple(env)) {
        buf_str(out, "\033[>q\033[?2026$p\033[?1016$p\033[16t\033]11;?\033\\");
        /* Not even a question about colour for somebody who wants none. */
        if (!is_set(env, "NO_COLOR"))
            buf_str(out, "\0337\033[48;2;18;52;86m\033P$qm\033\\\033[m\0338");
    }
    if (!is_simple(env) && !is_set(env, "TMUX"))
        ask_graphics(out, shared);
    buf_str(out, "\033[5n\033[c");
}

static bool write_all(int fd, const char *p, size_t n)
{
    while (n > 0) {
        const ssize_t out = write(fd, p, n);
        if (out < 0 && errno != EINTR)
            return false;
        if (out > 0) {
            p += out;
            n -= (size_t)out;
        }
    }
    return true;
}

static void gather(struct term_caps *caps, const struct term_line *line, struct term_typed *typed)
{
    char bytes[REPLIES_MOST];
    size_t n = 0, used = 0;
    const int64_t end_us = clock_mono_us() + (int64_t)line->timeout_ms * 1000;
    while (!caps->answered && n < sizeof bytes) {
        struct pollfd p = {.fd = line->in, .events = POLLIN};
        const int64_t left_us = end_us - clock_mono_us();
        if (left_us <= 0 || (poll(&p, 1, (int)(left_us / 1000) + 1) <= 0 && errno != EINTR))
            break;
        if (!(p.revents & (POLLIN | POLLHUP)))
            continue;
        const ssize_t got = read(line->in, bytes + n, sizeof bytes - n);
        if (got <= 0)
            break;
        n += (size_t)got;
        used += term_caps_read(caps, bytes + used, n - used, typed);
    }
    /* A reply that was cut off stays whole: whoever reads on must know that it has begun. */
    while (typed->bytes && used < n && typed->n < typed->cap)
        typed->bytes[typed->n++] = bytes[used++];
}

static void ask(struct term_caps *caps, const struct term_line *line, struct term_typed *typed)
{
    struct termios was, raw;
    if (tcgetattr(line->in, &was) != 0)
        return;
    raw = was;
    raw.c_iflag &= (tcflag_t) ~(ICRNL | INLCR | IGNCR | ISTRIP);
    raw.c_lflag &= (tcflag_t) ~(ICANON | ECHO | IEXTEN);
    raw.c_cc[VMIN] = 1;
    raw.c_cc[VTIME] = 0;
    if (tcsetattr(line->in, TCSADRAIN, &raw) != 0)
        return;
    char shared[64];
    const bool has_shared = pixel_shared(shared, sizeof shared);
    struct buf queries = {0};
    burst(&queries, line->env, has_shared ? shared : NULL);
    if (write_all(line->out, queries.p, queries.n))
        gather(caps, line, typed);
    buf_free(&queries);
    if (has_shared)
        shm_unlink(shared); /* the terminal that read it has done so already */
    tcsetattr(line->in, TCSADRAIN, &was);
}

bool term_caps_measure(struct term_caps *caps, int fd)
{
    struct winsize size = {0};
    if (ioctl(fd, TIOCGWINSZ, &size) != 0)
        return false;
    caps->rows = size.ws_row;
    caps->cols = size.ws_col;
    if (size.ws_col == 0 || size.ws_row == 0)
        return false;
    /* xterm counts its inner border in; the division drops it */
    const int width = size.ws_xpixel / size.ws_col, height = size.ws_ypixel / size.ws_row;
    const bool other = width != caps->cell_width || height != caps->cell_height;
    if (width == 0 || height == 0 || !other)
        return false;
    caps->cell_width = width;
    caps->cell_height = height;
    return true;
}

bool term_caps_query(struct term_caps *caps, const struct term_line *line,
                     const struct term_settings *set, struct term_typed *typed, struct err *e)
{
    *caps = (struct term_caps){0};
    typed->n = 0;
    const char *term = line->env("TERM");
    if (isatty(line->in) && isatty(line->out) && term && strcmp(term, "dumb") != 0)
        ask(caps, line, typed);
    term_caps_measure(caps, line->out);
    return term_caps_decide(caps, line->env, set, e);
}
