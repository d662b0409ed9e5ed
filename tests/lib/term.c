/* Life of the program and the line; see term_look.c for the eyes, term_hand.c for the hands. */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <setjmp.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>
#include <utmp.h>

#include <cmocka.h>

#include "lib/term_inside.h"

static struct term *open_terms;

/* --- what the program writes ------------------------------------------------------------- */

static void answer(struct term *t, const char *s)
{
    if (!t->setup.mute)
        buf_str(&t->typed, s);
}

static void on_vterm_output(const char *s, size_t n, void *user)
{
    struct term *t = user;
    if (t->typing || !t->setup.mute)
        buf_add(&t->typed, s, n);
}

/* The value of one key in the control part of a kitty graphics string ("a=T,i=7;..."). */
static const char *kitty_key(const char *s, char key, char out[32])
{
    out[0] = '\0';
    for (s++; *s && *s != ';'; s += strcspn(s, ",;"), s += *s == ',')
        if (s[0] == key && s[1] == '=')
            snprintf(out, 32, "%.*s", (int)strcspn(s + 2, ",;"), s + 2);
    return out;
}

static void answer_kitty(struct term *t, const char *s)
{
    char id[32], quiet[32], more[32], medium[32], reply[128];
    kitty_key(s, 'i', id);
    kitty_key(s, 'q', quiet);
    if (t->setup.pictures != TERM_KITTY || !*id || atoi(quiet) > 1)
        return;
    bool shared = strcmp(kitty_key(s, 't', medium), "s") == 0;
    if (strcmp(kitty_key(s, 'm', more), "1") == 0 || (!shared && atoi(quiet) > 0))
        return;
    snprintf(reply, sizeof reply, "\033_Gi=%s;%s\033\\", id,
             shared ? "EBADF:no shared memory here" : "OK");
    answer(t, reply);
}

static void record_string(struct term *t, const char *s, size_t n)
{
    size_t end = s[n - 1] == '\a' ? 1 : 2;
    struct control_string *c = xcalloc(1, sizeof *c);
    c->kind = s[1];
    c->text = xcalloc(1, n - 2 - end + 1);
    memcpy(c->text, s + 2, n - 2 - end);
    *t->strings_end = c;
    t->strings_end = &c->next;
    if (c->kind == ']' && (c->text[0] == '0' || c->text[0] == '2') && c->text[1] == ';')
        snprintf(t->title, sizeof t->title, "%s", c->text + 2);
    if (c->kind == '_' && c->text[0] == 'G')
        answer_kitty(t, c->text);
}

static void on_text(void *user, const char *s, size_t n)
{
    struct term *t = user;
    vterm_input_write(t->vt, s, n);
}

/* libvterm 0.1.4 obeys only the first of several modes in one sequence, as in ncurses'
 * "CSI ? 1006 ; 1000 h"; so each goes by itself. */
static void set_modes(struct term *t, const char *s, size_t n)
{
    bool on = s[n - 1] == 'h';
    for (const char *p = s + 3; *p >= '0' && *p <= '9'; p += *p == ';') {
        char *end, one[32];
        long mode = strtol(p, &end, 10);
        p = end;
        if (mode >= MODES)
            continue;
        t->mode[mode] = on;
        int len = snprintf(one, sizeof one, "\033[?%ld%c", mode, s[n - 1]);
        vterm_input_write(t->vt, one, (size_t)len);
    }
}

static void on_sequence(void *user, const char *s, size_t n)
{
    struct term *t = user;
    char final = s[n - 1];
    if (s[1] != '[')
        record_string(t, s, n);
    /* libvterm 0.1.4 would print these three kinds as text. */
    if (strchr("_^X", s[1]))
        return;
    bool asks_what_it_is = strcmp(s, "\033[c") == 0 || strcmp(s, "\033[0c") == 0;
    if (asks_what_it_is && t->setup.pictures == TERM_SIXEL)
        answer(t, "\033[?63;1;2;4c");
    else if (s[1] == '[' && s[2] == '?' && (final == 'h' || final == 'l'))
        set_modes(t, s, n);
    else
        vterm_input_write(t->vt, s, n);
}

/* --- the line ---------------------------------------------------------------------------- */

/* How many bytes a terminal of this speed would take now. */
static size_t allowance(struct term *t)
{
    if (t->speed == TERM_FULL_SPEED)
        return SIZE_MAX;
    if (t->speed == TERM_FROZEN)
        return 0;
    long long due = (now_ms() - t->speed_since_ms) * t->speed / 1000;
    return due > (long long)t->speed_taken ? (size_t)due - t->speed_taken : 0;
}

static void read_line(struct term *t)
{
    static char chunk[65536];
    const struct escape_to to = {.text = on_text, .sequence = on_sequence, .user = t};
    t->drained = false;
    for (size_t allowed; (allowed = allowance(t)) > 0;) {
        ssize_t n = read(t->master, chunk, allowed < sizeof chunk ? allowed : sizeof chunk);
        if (n <= 0) {
            t->drained = true;
            return;
        }
        t->speed_taken += (size_t)n;
        buf_add(&t->raw, chunk, (size_t)n);
        escape_feed(&t->escape, chunk, (size_t)n, &to);
    }
}

static void write_line(struct term *t)
{
    if (!t->typed.n)
        return;
    ssize_t n = write(t->master, t->typed.p, t->typed.n);
    if (n <= 0)
        return;
    t->idle = false; /* what the program said before it had these bytes is out of date */
    memmove(t->typed.p, t->typed.p + n, t->typed.n - (size_t)n);
    t->typed.n -= (size_t)n;
}

static void read_idle(struct term *t)
{
    char bytes[256];
    while (read(t->idle_fd, bytes, sizeof bytes) > 0)
        t->idle = true;
}

static void collect(struct term *t)
{
    int status;
    if (t->ended || waitpid(t->pid, &status, WNOHANG) != t->pid)
        return;
    t->ended = true;
    t->status = child_status(status);
}

void term_step(struct term *t, int timeout_ms)
{
    bool reading = t->master >= 0 && allowance(t) > 0;
    if (!reading && t->speed > 0 && timeout_ms > 5)
        timeout_ms = 5;
    struct pollfd fds[] = {
        {.fd = t->master, .events = (short)((reading ? POLLIN : 0) | (t->typed.n ? POLLOUT : 0))},
        {.fd = t->idle_fd, .events = POLLIN},
        {.fd = t->ended ? -1 : t->pid_fd, .events = POLLIN}};
    poll(fds, 3, t->ended ? 0 : timeout_ms);
    /* In this order: what a program wrote before it went idle, or ended, is then on the screen. */
    collect(t);
    read_idle(t);
    if (t->master < 0)
        return;
    read_line(t);
    write_line(t);
}

void term_pump(struct term *t)
{
    term_step(t, 0);
}

void term_stir(struct term *t)
{
    term_step(t, 0);
    t->idle = false;
}

void term_speed(struct term *t, int bytes_per_second)
{
    t->speed = bytes_per_second;
    t->speed_since_ms = now_ms();
    t->speed_taken = 0;
}

void term_send(struct term *t, const char *bytes, size_t n)
{
    term_stir(t);
    buf_add(&t->typed, bytes, n);
    write_line(t);
}

static struct winsize size_of(const struct term_setup *s)
{
    int w = s->cell_w > 0 ? s->cell_w : 0, h = s->cell_h > 0 ? s->cell_h : 0;
    return (struct winsize){.ws_row = (unsigned short)s->rows,
                            .ws_col = (unsigned short)s->cols,
                            .ws_xpixel = (unsigned short)(s->cols * w),
                            .ws_ypixel = (unsigned short)(s->rows * h)};
}

void term_resize(struct term *t, int rows, int cols)
{
    term_stir(t);
    t->setup.rows = rows;
    t->setup.cols = cols;
    struct winsize size = size_of(&t->setup);
    vterm_set_size(t->vt, rows, cols);
    if (ioctl(t->master, TIOCSWINSZ, &size) != 0)
        term_fail(t, "cannot resize: %s", strerror(errno));
}

bool term_taken(const struct term *t)
{
    int left;
    assert_int_equal(ioctl(t->slave, FIONREAD, &left), 0);
    return left == 0;
}

void term_signal(struct term *t, int sig)
{
    term_stir(t);
    if (!t->ended)
        kill(t->pid, sig);
}

void term_hangup(struct term *t)
{
    term_stir(t);
    close(t->slave);
    close(t->master);
    t->slave = t->master = -1;
}

int term_pid(const struct term *t)
{
    return t->pid;
}

/* --- birth and death --------------------------------------------------------------------- */

static void kill_open_terms(void)
{
    for (struct term *t = open_terms; t; t = t->next)
        if (!t->ended)
            kill(t->pid, SIGKILL);
}

static void start_screen(struct term *t)
{
    t->vt = vterm_new(t->setup.rows, t->setup.cols);
    vterm_set_utf8(t->vt, 1);
    vterm_output_set_callback(t->vt, on_vterm_output, t);
    t->screen = vterm_obtain_screen(t->vt);
    vterm_screen_enable_altscreen(t->screen, 1);
    vterm_screen_reset(t->screen, 1);
    t->mode[25] = true;
    t->strings_end = &t->strings;
}

static void start_child(struct term *t, const char **argv)
{
    struct winsize size = size_of(&t->setup);
    int idle[2];
    if (openpty(&t->master, &t->slave, NULL, NULL, &size) != 0 ||
        pipe2(idle, O_CLOEXEC | O_NONBLOCK) != 0)
        fail_msg("cannot make a pseudo-terminal: %s", strerror(errno));
    tcgetattr(t->slave, &t->before);
    fcntl(t->master, F_SETFL, O_NONBLOCK);
    fcntl(t->master, F_SETFD, FD_CLOEXEC);
    fcntl(t->slave, F_SETFD, FD_CLOEXEC);
    char hook[48];
    snprintf(hook, sizeof hook, "BOXCALL_IDLE_FD=%d", idle[1]);
    const char *extra[64] = {hook};
    for (size_t i = 0; t->setup.env && t->setup.env[i] && i < 62; i++)
        extra[i + 1] = t->setup.env[i];
    char **env = child_env(t->setup.home, extra);
    fflush(NULL);
    t->pid = fork();
    if (t->pid == 0) {
        fcntl(idle[1], F_SETFD, 0);
        login_tty(t->slave);
        child_exec(argv, env, t->setup.dir);
    }
    close(idle[1]);
    t->idle_fd = idle[0];
    t->pid_fd = (int)syscall(SYS_pidfd_open, t->pid, 0);
}

struct term *term_start(const struct term_setup *setup, const char *program, ...)
{
    va_list rest;
    va_start(rest, program);
    const char **argv = child_argv(program, rest);
    va_end(rest);
    struct term *t = xcalloc(1, sizeof *t);
    if (setup)
        t->setup = *setup;
    t->setup.rows = t->setup.rows ? t->setup.rows : 24;
    t->setup.cols = t->setup.cols ? t->setup.cols : 80;
    t->setup.cell_w = t->setup.cell_w ? t->setup.cell_w : 8;
    t->setup.cell_h = t->setup.cell_h ? t->setup.cell_h : 16;
    t->said = child_line(argv);
    start_screen(t);
    start_child(t, argv);
    static bool watched;
    if (!watched)
        atexit(kill_open_terms);
    watched = true;
    t->next = open_terms;
    open_terms = t;
    return t;
}

void term_forget_strings(struct term *t)
{
    for (struct control_string *c = t->strings, *next; c; c = next) {
        next = c->next;
        free(c->text);
        free(c);
    }
    t->strings = NULL;
    t->strings_end = &t->strings;
}

void term_close(struct term *t)
{
    if (!t)
        return;
    struct term **at = &open_terms;
    while (*at && *at != t)
        at = &(*at)->next;
    if (*at)
        *at = t->next;
    collect(t);
    if (!t->ended) {
        kill(t->pid, SIGKILL);
        waitpid(t->pid, NULL, 0);
    }
    const int fds[] = {t->master, t->slave, t->idle_fd, t->pid_fd};
    for (size_t i = 0; i < sizeof fds / sizeof *fds; i++)
        if (fds[i] >= 0)
            close(fds[i]);
    vterm_free(t->vt);
    term_forget_strings(t);
    escape_free(&t->escape);
    buf_free(&t->raw);
    buf_free(&t->row);
    buf_free(&t->whole);
    buf_free(&t->typed);
    free(t);
}
