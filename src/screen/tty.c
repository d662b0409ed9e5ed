#include "screen/tty.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <curses.h>
#include <term.h>

#include "screen/key_reader.h"
#include "sys/clock.h"

enum { ASK_MS = 1000, PIECE = 8192 };

static SCREEN *screen;
static struct termios before;
static int leave_fd = -1, size_fd = -1;
static attr_t attributes[STYLES];
static short pairs[STYLES];
static struct key_reader reader;
static char piece[PIECE]; /* as it was read; at first what was typed while the terminal was asked */
static size_t n_piece, next_byte;
static volatile sig_atomic_t stop_asked, went_on;
static int kept_stderr = -1;

/* --- styles ---------------------------------------------------------------------------------- */

/* Colour is never the only carrier: every style that means something has an attribute, a sign or a
 * word of its own as well. The colours read on a light and on a dark background. */
static const struct {
    attr_t attr;
    short fg16, bg16, fg256, bg256;
} looks[STYLES] = {
    [ST_NORMAL] = {A_NORMAL, -1, -1, -1, -1},
    [ST_TITLE] = {A_REVERSE, -1, -1, -1, -1},
    [ST_DIM] = {A_DIM, -1, -1, -1, -1},
    [ST_STRONG] = {A_BOLD, -1, -1, -1, -1},
    [ST_KEY] = {A_BOLD, -1, -1, 31, -1},
    [ST_PRAISE] = {A_NORMAL, COLOR_GREEN, -1, 34, -1},
    [ST_SERIOUS] = {A_BOLD, COLOR_MAGENTA, -1, 166, -1},
    [ST_NOW] = {A_NORMAL, COLOR_BLACK, COLOR_CYAN, 16, 80},
    [ST_CHOSEN] = {A_REVERSE, -1, -1, -1, -1},
    [ST_TROUBLE] = {A_BOLD, COLOR_RED, -1, 167, -1},
    [ST_SAID] = {A_DIM, -1, -1, -1, -1},
};

static void choose_looks(enum term_colors colors)
{
    bool many = colors >= TERM_256 && COLORS >= 256;
    bool some = colors >= TERM_16 && has_colors();
    if (some) {
        start_color();
        use_default_colors();
    }
    for (int i = 0; i < STYLES; i++) {
        short fg = many ? looks[i].fg256 : looks[i].fg16,
              bg = many ? looks[i].bg256 : looks[i].bg16;
        attributes[i] = looks[i].attr;
        pairs[i] = 0;
        if (some && (fg >= 0 || bg >= 0)) {
            pairs[i] = (short)(i + 1);
            init_pair(pairs[i], fg, bg);
        } else if (bg >= 0) {
            attributes[i] |= A_REVERSE;
        }
    }
}

/* --- signals --------------------------------------------------------------------------------- */

static void wake(int fd)
{
    uint64_t one = 1;
    int kept = errno;
    if (write(fd, &one, sizeof one) < 0)
        errno = kept;
    errno = kept;
}

static void on_leave(int sig)
{
    (void)sig;
    wake(leave_fd);
}

/* The size changed, or we are to stop, or were stopped and go on: the loop sees to it. */
static void on_news(int sig)
{
    stop_asked |= sig == SIGTSTP;
    went_on |= sig == SIGCONT;
    wake(size_fd);
}

/* The program is about to die: give the terminal back with calls that a signal handler may make,
 * then die of the same signal, so that the exit status is true. */
static void on_fatal(int sig)
{
    static const char restore[] =
        "\033[?1l\033>\033[?2004l\033[?1000l\033[?1002l\033[?1006l\033[?1016l\033[?2026l"
        "\033[0m\033[?25h\033[?1049l";
    if (write(STDOUT_FILENO, restore, sizeof restore - 1) < 0)
        _exit(128 + sig);
    tcsetattr(STDIN_FILENO, TCSANOW, &before);
    signal(sig, SIG_DFL);
    raise(sig);
}

static void watch_signals(void)
{
    static const int leaving[] = {SIGTERM, SIGHUP, SIGINT, SIGQUIT},
                     news[] = {SIGWINCH, SIGTSTP, SIGCONT},
                     fatal[] = {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT};
    struct sigaction a = {.sa_handler = on_leave, .sa_flags = SA_RESTART};
    for (size_t i = 0; i < sizeof leaving / sizeof *leaving; i++)
        sigaction(leaving[i], &a, NULL);
    a.sa_handler = on_news; /* wakes poll() whichever thread gets it */
    for (size_t i = 0; i < sizeof news / sizeof *news; i++)
        sigaction(news[i], &a, NULL);
    a.sa_handler = on_fatal;
    a.sa_flags = (int)(SA_RESETHAND | SA_NODEFER);
    for (size_t i = 0; i < sizeof fatal / sizeof *fatal; i++)
        sigaction(fatal[i], &a, NULL);
}

/* --- open and close -------------------------------------------------------------------------- */

/* Graphics and sound libraries print where they like; not over the screen. */
static void silence_stderr(void)
{
    int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    kept_stderr = fcntl(STDERR_FILENO, F_DUPFD_CLOEXEC, 3);
    if (nowhere >= 0 && kept_stderr >= 0)
        dup2(nowhere, STDERR_FILENO);
    if (nowhere >= 0)
        close(nowhere);
}

/* What the terminal's description calls its keys, where that is not what nearly all send. */
static void learn_keys(void)
{
    static const struct {
        const char *capability, *name;
    } keys[] = {
        {"kcuu1", "Up"},        {"kcud1", "Down"},       {"kcuf1", "Right"},
        {"kcub1", "Left"},      {"khome", "Home"},       {"kend", "End"},
        {"kpp", "PageUp"},      {"knp", "PageDown"},     {"kdch1", "Delete"},
        {"kich1", "Insert"},    {"kcbt", "Shift-Tab"},   {"kent", "Enter"},
        {"kLFT", "Shift-Left"}, {"kRIT", "Shift-Right"}, {"kri", "Shift-Up"},
        {"kind", "Shift-Down"}, {"kf1", "F1"},           {"kf2", "F2"},
        {"kf3", "F3"},          {"kf4", "F4"},           {"kf5", "F5"},
        {"kf6", "F6"},          {"kf7", "F7"},           {"kf8", "F8"},
        {"kf9", "F9"},          {"kf10", "F10"},         {"kf11", "F11"},
        {"kf12", "F12"},
    };
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        const char *bytes = tigetstr((char *)(uintptr_t)keys[i].capability);
        if (bytes && bytes != (char *)-1)
            key_reader_know(&reader, bytes, keys[i].name);
    }
}

static bool unknown_terminal(struct err *e)
{
    const char *term = getenv("TERM");
    tty_close(); /* stderr back: the line is to be seen */
    return err_set(e, ERR_FAILED,
                   term && *term
                       ? "the terminal type '%s' is not known here; set TERM to one that "
                         "is, such as xterm-256color"
                       : "TERM%s is not set, so the terminal's type is not known; set it, "
                         "such as TERM=xterm-256color",
                   term ? term : "");
}

bool tty_open(const struct term_settings *set, struct term_caps *caps, struct err *e)
{
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return err_set(e, ERR_FAILED,
                       "the review needs a terminal; start it in one, not in a pipe");
    tcgetattr(STDIN_FILENO, &before);
    key_reader_begin(&reader);
    next_byte = 0;
    const struct term_line line = {STDIN_FILENO, STDOUT_FILENO, ASK_MS, getenv};
    struct term_typed typed = {piece, sizeof piece, 0};
    if (!term_caps_query(caps, &line, set, &typed, e))
        return false;
    n_piece = typed.n;
    silence_stderr();
    leave_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    size_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    /* Before curses begins, which then leaves SIGTSTP alone; else it ignores the signal for as long
     * as it paints. */
    watch_signals();
    screen = newterm(NULL, stdout, stdin);
    if (!screen)
        return unknown_terminal(e);
    raw();
    noecho();
    nonl();
    keypad(stdscr, TRUE); /* the terminal sends what its description says; we read it ourselves */
    typeahead(-1);
    leaveok(stdscr, FALSE);
    learn_keys();
    mouse_ask(STDOUT_FILENO, true);
    choose_looks(caps->colors);
    return true;
}

void tty_close(void)
{
    if (screen) {
        mouse_ask(STDOUT_FILENO, false);
        endwin();
        delscreen(screen);
        screen = NULL;
    }
    if (leave_fd >= 0) {
        signal(SIGWINCH, SIG_DFL);
        signal(SIGTSTP, SIG_DFL);
        signal(SIGCONT, SIG_DFL);
        close(leave_fd);
        close(size_fd);
    }
    leave_fd = size_fd = -1;
    if (kept_stderr >= 0) {
        dup2(kept_stderr, STDERR_FILENO);
        close(kept_stderr);
        kept_stderr = -1;
    }
}

void tty_dimensions(int *rows, int *cols)
{
    getmaxyx(stdscr, *rows, *cols);
}

int tty_size_fd(void)
{
    return size_fd;
}

/* What signals told: the next event, TTY_NOTHING when there was none. */
static enum tty_event_kind take_news(void)
{
    uint64_t n;
    struct winsize w;
    if (read(size_fd, &n, sizeof n) != sizeof n)
        return TTY_NOTHING;
    if (stop_asked) {
        stop_asked = 0;
        return TTY_STOP;
    }
    if (went_on) { /* a shell may have changed the terminal meanwhile */
        went_on = 0;
        endwin();
        mouse_ask(STDOUT_FILENO, true);
    }
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &w) == 0 && (w.ws_row != LINES || w.ws_col != COLS))
        resize_term(w.ws_row, w.ws_col); /* resizeterm() would put a key into curses' own queue */
    /* Even at the size we knew: it may have been another for a moment, which cut what was there. */
    clearok(curscr, TRUE);
    return TTY_RESIZE;
}

void tty_stop(void)
{
    mouse_ask(STDOUT_FILENO, false);
    endwin();
    signal(SIGTSTP, SIG_DFL);
    raise(SIGTSTP);
    /* Here we go on, or were not stopped at all: nobody is there to let a session's leader go on.
     */
    went_on = 1;
    wake(size_fd);
    watch_signals();
}

int tty_signal_fd(void)
{
    return leave_fd;
}

/* --- out ------------------------------------------------------------------------------------- */

static bool in_hole(const struct canvas *c, int row, int col)
{
    const struct rect *h = &c->hole;
    return row >= h->row && row < h->row + h->rows && col >= h->col && col < h->col + h->cols;
}

void tty_show(const struct canvas *c)
{
    for (int row = 0; row < c->rows; row++) {
        move(row, 0);
        for (int col = 0; col < c->cols; col++) {
            const struct cell *cell = &c->at[row * c->cols + col];
            bool hole = in_hole(c, row, col);
            attr_set(hole ? A_NORMAL : attributes[cell->style], hole ? 0 : pairs[cell->style],
                     NULL);
            if (hole)
                mvaddch(row, col, ' ');
            else if (*cell->text)
                mvaddstr(row, col, cell->text);
        }
    }
    attr_set(A_NORMAL, 0, NULL);
    curs_set(c->cursor_row >= 0);
    if (c->cursor_row >= 0)
        move(c->cursor_row, c->cursor_col);
    refresh();
}

void tty_forget(void)
{
    clearok(stdscr, TRUE);
}

/* --- in -------------------------------------------------------------------------------------- */

static bool read_piece(void)
{
    struct pollfd p = {.fd = STDIN_FILENO, .events = POLLIN};
    if (poll(&p, 1, 0) <= 0 || !(p.revents & POLLIN))
        return false;
    ssize_t n = read(STDIN_FILENO, piece, sizeof piece);
    n_piece = n > 0 ? (size_t)n : 0;
    next_byte = 0;
    return n > 0;
}

static struct tty_event event_of(const struct key_event *k)
{
    static const enum tty_event_kind kinds[] = {
        [KEY_NONE] = TTY_NOTHING,  [KEY_PRESS] = TTY_KEY,     [KEY_PASTED] = TTY_PASTE,
        [KEY_CLICKED] = TTY_CLICK, [KEY_WHEELED] = TTY_WHEEL, [KEY_ANSWERED] = TTY_ANSWER};
    struct tty_event ev = {.kind = kinds[k->kind], .row = k->row, .col = k->col, .wheel = k->wheel};
    memcpy(ev.key, k->key, sizeof ev.key);
    return ev;
}

struct tty_event tty_next(void)
{
    struct key_event k = {.kind = KEY_NONE};
    enum tty_event_kind news = take_news();
    if (news != TTY_NOTHING)
        return (struct tty_event){.kind = news};
    while (k.kind == KEY_NONE && (next_byte < n_piece || read_piece()))
        next_byte +=
            key_reader_take(&reader, piece + next_byte, n_piece - next_byte, clock_mono_us(), &k);
    if (k.kind == KEY_NONE)
        key_reader_pause(&reader, clock_mono_us(), &k);
    return event_of(&k);
}

int tty_wait_ms(void)
{
    return key_reader_wait_ms(&reader, clock_mono_us());
}

bool tty_stuck(void)
{
    return key_reader_stuck(&reader, clock_mono_us());
}
