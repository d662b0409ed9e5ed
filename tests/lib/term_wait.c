/* Patience: every wait reads until its state is there, and says what it saw when it is not. */
#include <ctype.h>
#include <setjmp.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/syscall.h>
#include <termios.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/term_inside.h"

struct wish {
    bool (*there)(struct term *t, const struct wish *w);
    int row;
    const char *text;
    char kind;
    bool (*ready)(void *user);
    void *user;
};

struct term *term_at(struct term *t, const char *file, int line)
{
    t->file = file;
    t->line = line;
    return t;
}

/* False when the deadline passed, or the program ended without it. */
static bool comes_true(struct term *t, const struct wish *w)
{
    long long until = now_ms() + DEADLINE_MS;
    while (!w->there(t, w)) {
        if (now_ms() >= until || (t->ended && t->drained))
            return false;
        term_step(t, 10);
    }
    return true;
}

static bool has_text(struct term *t, const struct wish *w)
{
    return term_has(t, w->text);
}

static bool has_no_text(struct term *t, const struct wish *w)
{
    return !term_has(t, w->text);
}

static bool row_has(struct term *t, const struct wish *w)
{
    return strstr(term_row(t, w->row), w->text);
}

static bool row_lacks(struct term *t, const struct wish *w)
{
    return !row_has(t, w);
}

static bool raw_has(struct term *t, const struct wish *w)
{
    return t->raw.n && memmem(t->raw.p, t->raw.n, w->text, strlen(w->text));
}

static bool string_has(struct term *t, const struct wish *w)
{
    return term_has_string(t, w->kind, w->text);
}

static bool is_ready(struct term *t, const struct wish *w)
{
    (void)t;
    return w->ready(w->user);
}

/* Is the program blocked in one of the calls that wait for descriptors? When the system does not
 * tell, its word alone must do. */
static bool is_blocked(const struct term *t)
{
    static const long calls[] = {SYS_poll,     SYS_ppoll,      SYS_select,
                                 SYS_pselect6, SYS_epoll_wait, SYS_epoll_pwait};
    char path[64], text[32] = "";
    snprintf(path, sizeof path, "/proc/%d/syscall", (int)t->pid);
    FILE *f = fopen(path, "re");
    bool known = f && fgets(text, sizeof text, f);
    if (f)
        fclose(f);
    if (!known)
        return true;
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++)
        if (isdigit((unsigned char)text[0]) && atol(text) == calls[i])
            return true;
    return false;
}

/* The program may have said that it is idle just before our key reached it. So its word counts
 * only once it has taken every byte and is blocked; and what it drew before is read after that. */
static bool is_idle(struct term *t, const struct wish *w)
{
    (void)w;
    int unread = 0;
    if (t->slave >= 0)
        ioctl(t->slave, FIONREAD, &unread);
    if (!t->idle || t->typed.n || unread || !is_blocked(t))
        return false;
    term_step(t, 0);
    return t->idle && t->drained && !t->typed.n;
}

static bool has_ended(struct term *t, const struct wish *w)
{
    (void)w;
    return t->ended && (t->drained || t->speed != TERM_FULL_SPEED || t->master < 0);
}

void(term_wait_text)(struct term *t, const char *text)
{
    if (!comes_true(t, &(struct wish){.there = has_text, .text = text}))
        term_fail(t, "no '%s' came on the screen", text);
}

void(term_wait_row)(struct term *t, int row, const char *text)
{
    if (!comes_true(t, &(struct wish){.there = row_has, .row = row, .text = text}))
        term_fail(t, "no '%s' came on row %d", text, row);
}

void(term_wait_gone)(struct term *t, const char *text)
{
    if (!comes_true(t, &(struct wish){.there = has_no_text, .text = text}))
        term_fail(t, "'%s' did not go from the screen", text);
}

void(term_wait_gone_row)(struct term *t, int row, const char *text)
{
    if (!comes_true(t, &(struct wish){.there = row_lacks, .row = row, .text = text}))
        term_fail(t, "'%s' did not go from row %d", text, row);
}

void(term_wait_raw)(struct term *t, const char *bytes)
{
    if (!comes_true(t, &(struct wish){.there = raw_has, .text = bytes}))
        term_fail(t, "the bytes awaited were never written");
}

void(term_wait_string)(struct term *t, char kind, const char *part)
{
    if (!comes_true(t, &(struct wish){.there = string_has, .kind = kind, .text = part}))
        term_fail(t, "no control string '%c' with '%s' came", kind, part);
}

void(term_wait_until)(struct term *t, bool (*ready)(void *user), void *user, const char *what)
{
    if (!comes_true(t, &(struct wish){.there = is_ready, .ready = ready, .user = user}))
        term_fail(t, "not so: %s", what);
}

void(term_wait_idle)(struct term *t)
{
    if (!comes_true(t, &(struct wish){.there = is_idle}))
        term_fail(t, "the program did not go idle");
}

int(term_wait_exit)(struct term *t)
{
    if (!comes_true(t, &(struct wish){.there = has_ended}))
        term_fail(t, "the program did not end");
    return t->status;
}

static bool pen_is_plain(const struct term *t)
{
    static const VTermAttr flags[] = {VTERM_ATTR_BOLD, VTERM_ATTR_UNDERLINE, VTERM_ATTR_REVERSE};
    const VTermState *state = vterm_obtain_state(t->vt);
    VTermValue v;
    for (size_t i = 0; i < sizeof flags / sizeof *flags; i++)
        if (vterm_state_get_penattr(state, flags[i], &v) && (v.boolean || v.number))
            return false;
    vterm_state_get_penattr(state, VTERM_ATTR_FOREGROUND, &v);
    bool fg = VTERM_COLOR_IS_DEFAULT_FG(&v.color);
    vterm_state_get_penattr(state, VTERM_ATTR_BACKGROUND, &v);
    return fg && VTERM_COLOR_IS_DEFAULT_BG(&v.color);
}

void(term_assert_restored)(struct term *t)
{
    static const int off[] = {1, 47, 1000, 1002, 1003, 1006, 1015, 1016, 1047, 1049, 2004, 2026};
    struct termios now;
    if (tcgetattr(t->slave, &now) != 0)
        term_fail(t, "the line does not say how it is set");
    if (now.c_iflag != t->before.c_iflag || now.c_oflag != t->before.c_oflag ||
        now.c_cflag != t->before.c_cflag || now.c_lflag != t->before.c_lflag ||
        memcmp(now.c_cc, t->before.c_cc, sizeof now.c_cc) != 0)
        term_fail(t, "the line's settings are not as they were: lflag %#x, was %#x", now.c_lflag,
                  t->before.c_lflag);
    for (size_t i = 0; i < sizeof off / sizeof *off; i++)
        if (t->mode[off[i]])
            term_fail(t, "mode %d was left on", off[i]);
    if (!t->mode[25])
        term_fail(t, "the cursor was left hidden");
    if (!pen_is_plain(t))
        term_fail(t, "a colour or attribute was left on");
}
