/* The terminal through ncurses: a canvas out, keys and mouse by canonical names in. */
#ifndef SCREEN_TTY_H
#define SCREEN_TTY_H

#include "screen/canvas.h"
#include "pane/termcaps.h"

enum tty_event_kind {
    TTY_NOTHING,
    TTY_KEY,
    TTY_CLICK,
    TTY_WHEEL,
    TTY_RESIZE, /* the size, or all of the screen, is another now */
    TTY_STOP,   /* somebody wants us stopped: call tty_stop() when nothing is half written */
    TTY_ANSWER,
    TTY_PASTE
};

struct tty_event {
    enum tty_event_kind kind;
    char key[32]; /* TTY_KEY: "a", "é", "Space", "Shift-Left", "Ctrl-z" ...; TTY_PASTE: the same
                   * for one character of pasted text, with "Enter" at the end of a line */
    int row, col; /* TTY_CLICK, TTY_WHEEL */
    int wheel;    /* +1 up, -1 down */
};

/* Asks the terminal what it can do, then starts curses on it. */
bool tty_open(const struct term_settings *set, struct term_caps *caps, struct err *e);
void tty_close(void); /* puts the terminal back as it was; harmless when it was not opened */
void tty_dimensions(int *rows, int *cols);
/* Copies the canvas; the hole stays untouched. */
void tty_show(const struct canvas *c);
/* Everything is written again at the next tty_show(). */
void tty_forget(void);
/* The next thing typed or clicked; TTY_NOTHING when there is none. Never blocks. */
struct tty_event tty_next(void);
/* How long until tty_next() has something though nothing comes (a lone Esc); -1: no need. */
int tty_wait_ms(void);
/* An answer of the terminal began and does not end: it takes what is typed. */
bool tty_stuck(void);
/* Gives the terminal back and stops, as after SIGTSTP; the terminal is taken again after that. */
void tty_stop(void);
/* Becomes readable when a signal asks the program to leave. */
int tty_signal_fd(void);
/* Becomes readable when the window's size changed, or the program is to stop or was stopped;
 * tty_next() then says so. */
int tty_size_fd(void);

#endif
