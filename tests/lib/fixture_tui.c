/* A small program on ncurses that the harness is tested with: it shows its size and the last key
 * or click, draws with colours, and can flood the terminal. It says so when it is idle. */
#include <curses.h>
#include <errno.h>
#include <locale.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static volatile sig_atomic_t told_to_stop;

static void on_signal(int sig)
{
    told_to_stop = sig;
}

static void say_idle(void)
{
    const char *fd = getenv("BOXCALL_IDLE_FD");
    if (fd && write(atoi(fd), "", 1) < 0)
        return; /* the pipe is full: it was said often enough */
}

static void draw(const char *said, int count)
{
    erase();
    mvprintw(0, 0, "fixture %dx%d", LINES, COLS);
    mvprintw(1, 0, "key %s", said);
    mvprintw(2, 0, "count %d", count);
    attron(A_REVERSE);
    mvaddstr(3, 0, "reverse");
    attroff(A_REVERSE);
    attron(A_BOLD);
    mvaddstr(3, 10, "bold");
    attroff(A_BOLD);
    attron(COLOR_PAIR(1));
    mvaddstr(3, 20, "colour");
    attroff(COLOR_PAIR(1));
    mvaddstr(4, 0, "Zo\u00eb \u4e2d\u6587 e\u0301 end");
    mvaddstr(LINES - 1, 0, "foot");
    move(2, 6);
    refresh();
}

/* Writes pictures and links as the real program may; curses knows nothing of it. */
static void write_strings(void)
{
    fputs("\033_Gi=7,a=T,f=24;QUJD\033\\\033]8;;file:///clip.mp4\033\\\033Pq#0;2;0;0;0\033\\",
          stdout);
    fputs("\033_Gi=8,a=q;\033\\\033[5n\033[c", stdout);
    fflush(stdout);
}

/* Repaints the whole screen many times, nothing of it twice in the same place. */
static void flood(void)
{
    for (int i = 0; i < 60; i++) {
        for (int y = 0; y < LINES; y++)
            for (int x = 0; x < COLS; x++)
                mvaddch(y, x, (chtype)('a' + (x * x + y * 7 + i * (x + 3)) % 26));
        refresh();
    }
}

static const char *name_of(wint_t c, int kind)
{
    static char text[64];
    MEVENT m;
    if (kind == KEY_CODE_YES && c == KEY_MOUSE && getmouse(&m) == OK)
        snprintf(text, sizeof text, "mouse %d,%d %lx", m.y, m.x, (unsigned long)m.bstate);
    else if (kind == KEY_CODE_YES)
        snprintf(text, sizeof text, "%s", keyname((int)c));
    else if (c < 0x20 || c == 0x7F)
        snprintf(text, sizeof text, "%s", unctrl((chtype)c));
    else
        snprintf(text, sizeof text, "U+%04X", (unsigned)c);
    return text;
}

/* Signals arrive inside ppoll only, so none can slip in between looking and blocking. */
static void start(void)
{
    sigset_t held;
    sigemptyset(&held);
    sigaddset(&held, SIGTERM);
    sigaddset(&held, SIGHUP);
    sigaddset(&held, SIGWINCH);
    sigprocmask(SIG_BLOCK, &held, NULL);
    struct sigaction act = {.sa_handler = on_signal};
    sigaction(SIGTERM, &act, NULL);
    sigaction(SIGHUP, &act, NULL);
    initscr();
    raw();
    noecho();
    nonl();
    keypad(stdscr, TRUE);
    nodelay(stdscr, TRUE);
    mousemask(ALL_MOUSE_EVENTS, NULL);
    mouseinterval(0);
    start_color();
    use_default_colors();
    init_pair(1, COLOR_YELLOW, 17);
}

int main(void)
{
    setlocale(LC_ALL, "");
    start();
    int count = 0;
    sigset_t none;
    sigemptyset(&none);
    char said[64] = "none";
    draw(said, count);
    for (;;) {
        struct pollfd in = {.fd = STDIN_FILENO, .events = POLLIN};
        wint_t c;
        int kind = get_wch(&c);
        if (kind == ERR && !told_to_stop) {
            say_idle();
            if (ppoll(&in, 1, NULL, &none) < 0 && errno != EINTR)
                break;
            if (in.revents & (POLLHUP | POLLERR))
                told_to_stop = SIGHUP;
            continue;
        }
        if (told_to_stop || (kind == OK && c == 'q'))
            break;
        if (kind == OK && c == 'f')
            flood();
        if (kind == OK && c == 'p')
            write_strings();
        if (kind == OK && c == 'k')
            abort();
        count++;
        snprintf(said, sizeof said, "%s", name_of(c, kind));
        draw(said, count);
    }
    endwin();
    return told_to_stop ? 40 + told_to_stop : 7;
}
