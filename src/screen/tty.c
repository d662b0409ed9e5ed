#include "screen/tty.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <curses.h>

#include "base/utf8.h"
#include "screen/mouse.h"

enum {
    KEY_ANSWER = KEY_MAX + 1,
    KEY_REPORT_SGR,
    KEY_REPORT_BYTES,
    KEY_PASTE_BEGINS,
    KEY_PASTE_ENDS,
    ASK_MS = 1000,
    TYPED_AHEAD = 256
};

static SCREEN *screen;
static struct termios before;
static int leave_fd = -1, size_fd = -1;
static attr_t attributes[STYLES];
static short pairs[STYLES];
static char ahead[TYPED_AHEAD]; /* typed while the terminal was being asked */
static size_t n_ahead, next_ahead;
static struct mouse_report report;
static bool pasting; /* between the marks that the terminal puts around pasted text */
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

static void on_leave(int sig)
{
    (void)sig;
    uint64_t one = 1;
    int kept = errno;
    if (write(leave_fd, &one, sizeof one) < 0)
        errno = kept;
    errno = kept;
}

static void on_size(int sig)
{
    (void)sig;
    uint64_t one = 1;
    int kept = errno;
    if (write(size_fd, &one, sizeof one) < 0)
        errno = kept;
    errno = kept;
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
                     fatal[] = {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT};
    struct sigaction a = {.sa_handler = on_leave, .sa_flags = SA_RESTART};
    for (size_t i = 0; i < sizeof leaving / sizeof *leaving; i++)
        sigaction(leaving[i], &a, NULL);
    a.sa_handler = on_size; /* in place of curses' own, so that poll() wakes whoever gets it */
    sigaction(SIGWINCH, &a, NULL);
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

bool tty_open(const struct term_settings *set, struct term_caps *caps, struct err *e)
{
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return err_set(e, ERR_FAILED,
                       "the review needs a terminal; start it in one, not in a pipe");
    tcgetattr(STDIN_FILENO, &before);
    if (!term_caps_query(caps, STDIN_FILENO, STDOUT_FILENO, getenv, set, ASK_MS, ahead,
                         sizeof ahead, &n_ahead, e))
        return false;
    silence_stderr();
    leave_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    size_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    set_escdelay(25);
    screen = newterm(NULL, stdout, stdin);
    if (!screen)
        return err_set(e, ERR_FAILED, "the terminal type '%s' is not known; set TERM",
                       getenv("TERM") ? getenv("TERM") : "");
    watch_signals();
    raw();
    noecho();
    nonl();
    keypad(stdscr, TRUE);
    nodelay(stdscr, TRUE);
    leaveok(stdscr, FALSE);
    define_key("\033[0n", KEY_ANSWER);
    define_key("\033_Gi=7;OK\033\\", KEY_ANSWER);
    define_key("\033[<", KEY_REPORT_SGR);
    define_key("\033[M", KEY_REPORT_BYTES);
    define_key("\033[200~", KEY_PASTE_BEGINS);
    define_key("\033[201~", KEY_PASTE_ENDS);
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

static bool take_size(void)
{
    uint64_t n;
    struct winsize w;
    if (read(size_fd, &n, sizeof n) != sizeof n || ioctl(STDOUT_FILENO, TIOCGWINSZ, &w) != 0)
        return false;
    resizeterm(w.ws_row, w.ws_col);
    return true;
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

static const struct {
    int code;
    const char *name;
} special[] = {
    {KEY_LEFT, "Left"},      {KEY_RIGHT, "Right"},         {KEY_UP, "Up"},
    {KEY_DOWN, "Down"},      {KEY_SLEFT, "Shift-Left"},    {KEY_SRIGHT, "Shift-Right"},
    {KEY_SR, "Shift-Up"},    {KEY_SF, "Shift-Down"},       {KEY_PPAGE, "PageUp"},
    {KEY_NPAGE, "PageDown"}, {KEY_HOME, "Home"},           {KEY_END, "End"},
    {KEY_ENTER, "Enter"},    {KEY_BACKSPACE, "Backspace"}, {KEY_DC, "Delete"},
    {KEY_IC, "Insert"},      {KEY_BTAB, "Shift-Tab"},
};

static void name_of_code(int code, char out[32])
{
    out[0] = '\0';
    for (size_t i = 0; i < sizeof special / sizeof *special; i++)
        if (special[i].code == code)
            snprintf(out, 32, "%s", special[i].name);
    if (code >= KEY_F(1) && code <= KEY_F(12))
        snprintf(out, 32, "F%d", code - KEY_F0);
}

static void name_of_char(unsigned ch, char out[32])
{
    if (ch == ' ')
        strcpy(out, "Space");
    else if (ch == '\r' || ch == '\n')
        strcpy(out, "Enter");
    else if (ch == '\t')
        strcpy(out, "Tab");
    else if (ch == 27)
        strcpy(out, "Esc");
    else if (ch == 127 || ch == 8)
        strcpy(out, "Backspace");
    else if (ch >= 1 && ch <= 26)
        snprintf(out, 32, "Ctrl-%c", 'a' + (int)ch - 1);
    else if (ch < 32 || utf8_is_control(ch))
        out[0] = '\0';
    else
        out[utf8_put(ch, out)] = '\0';
}

static struct tty_event mouse_event(const struct mouse_event *m)
{
    struct tty_event ev = {.kind = TTY_NOTHING, .row = m->row, .col = m->col};
    if (m->what == MOUSE_CLICK)
        ev.kind = TTY_CLICK;
    else if (m->what != MOUSE_NOTHING)
        ev.kind = TTY_WHEEL;
    ev.wheel = m->what == MOUSE_UP ? 1 : -1;
    return ev;
}

/* An escape sequence nobody asked for (a late answer): swallowed up to its end. Returns whether
 * there was one; a lone Esc key has nothing behind it. */
static bool swallow(void)
{
    int first = getch();
    if (first == ERR)
        return false;
    if (first != '[' && first != ']' && first != 'P' && first != '_' && first != 'O') {
        ungetch(first);
        return false;
    }
    bool csi = first == '[' || first == 'O';
    for (int n = 0, ch, last = 0; n < 4096 && (ch = getch()) != ERR; n++, last = ch)
        if ((csi && ch >= 0x40 && ch <= 0x7e) || (!csi && (ch == 7 || (last == 27 && ch == '\\'))))
            break;
    return true;
}

/* Puts the bytes of a character beyond ASCII together; out stays "" until it is whole. Curses would
 * take only the locale's characters, and sit on the first byte that is none. */
static void gather_char(int byte, char out[32])
{
    static char part[4];
    static size_t n, need;
    size_t took;
    if (byte >= 0xC0) {
        need = byte >= 0xF0 ? 4 : byte >= 0xE0 ? 3 : 2;
        n = 0;
    } else if (n == 0) {
        return; /* a stray byte */
    }
    part[n++] = (char)byte;
    if (n < need)
        return;
    uint32_t ch = utf8_next(part, n, &took);
    if (took == n)
        name_of_char(ch, out);
    n = 0;
}

/* Length of an escape sequence at s, 0 when there is none. */
static size_t sequence_length(const char *s, size_t n)
{
    if (n < 2 || s[0] != 27 || (s[1] != '[' && s[1] != 'O'))
        return 0;
    size_t len = 2;
    while (len < n && (s[len] < 0x40 || s[len] > 0x7e))
        len++;
    return len < n ? len + 1 : n;
}

/* What was typed before curses began; special keys are passed over. */
static bool next_typed_ahead(char out[32])
{
    while (next_ahead < n_ahead) {
        const char *s = ahead + next_ahead;
        size_t left = n_ahead - next_ahead, took = sequence_length(s, left);
        uint32_t ch = took ? 0 : utf8_next(s, left, &took);
        next_ahead += took;
        name_of_char(ch, out);
        if (*out)
            return true;
    }
    return false;
}

struct tty_event tty_next(void)
{
    struct tty_event ev = {.kind = TTY_KEY};
    if (take_size())
        return (struct tty_event){.kind = TTY_RESIZE};
    if (next_typed_ahead(ev.key))
        return ev;
    for (int ch; (ch = getch()) != ERR;) {
        if (ch == KEY_RESIZE) /* resizeterm()'s own echo */
            continue;
        if (ch == KEY_ANSWER)
            return (struct tty_event){.kind = TTY_ANSWER};
        if (report.kind != MOUSE_NONE) {
            struct mouse_event m;
            if (mouse_take(&report, ch, &m) && m.what != MOUSE_NOTHING)
                return mouse_event(&m);
            continue;
        }
        if (ch == KEY_REPORT_SGR || ch == KEY_REPORT_BYTES) {
            report.kind = ch == KEY_REPORT_SGR ? MOUSE_SGR : MOUSE_BYTES;
            continue;
        }
        if (ch == KEY_PASTE_BEGINS || ch == KEY_PASTE_ENDS) {
            pasting = ch == KEY_PASTE_BEGINS;
            continue;
        }
        if (ch == 27 && swallow())
            continue;
        if (ch > 0xFF)
            name_of_code(ch, ev.key);
        else if (ch >= 0x80)
            gather_char(ch, ev.key);
        else
            name_of_char((unsigned)ch, ev.key);
        ev.kind = pasting ? TTY_PASTE : TTY_KEY;
        if (*ev.key)
            return ev;
    }
    return (struct tty_event){.kind = TTY_NOTHING};
}
