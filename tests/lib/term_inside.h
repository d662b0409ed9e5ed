/* Inside of the terminal harness; tests include lib/term.h only. */
#ifndef LIB_TERM_INSIDE_H
#define LIB_TERM_INSIDE_H

#include <sys/types.h>
#include <termios.h>
#include <vterm.h>

#include "base/buf.h"
#include "lib/escape.h"
#include "lib/term.h"

enum { MODES = 4096 };

struct control_string {
    struct control_string *next;
    char kind; /* the byte after ESC */
    char *text;
};

struct term {
    struct term *next; /* every open terminal, so that none outlives the test program */
    struct term_setup setup;
    const char *said; /* the command line, for messages */
    const char *file; /* where in the test we are */
    int line;

    pid_t pid;
    int master, slave, idle_fd, pid_fd;
    bool ended;
    int status; /* once ended */
    struct termios before;

    VTerm *vt;
    VTermScreen *screen;
    struct escape escape;
    struct buf raw;
    struct control_string *strings, **strings_end;
    struct buf row, whole;
    char title[256];
    bool mode[MODES];

    struct buf typed; /* what the line has not taken yet */
    bool typing;      /* what libvterm puts out is a key, not an answer */
    bool idle;        /* a byte came since the last input */
    bool drained;     /* the last read left nothing behind */
    int speed;        /* bytes per second, TERM_FULL_SPEED or TERM_FROZEN */
    long long speed_since_ms;
    size_t speed_taken;
};

/* Reads, answers and writes what can be done now; waits up to timeout_ms for something to do. */
void term_step(struct term *t, int timeout_ms);
/* Something is about to go to the program: what it said about being idle is out of date. */
void term_stir(struct term *t);
/* Prints the message, the screen and the last raw bytes, and fails the test. */
void term_fail(struct term *t, const char *fmt, ...)
    __attribute__((format(printf, 2, 3), noreturn));
/* A negative row counts from the bottom; a row that is not there fails the test. */
int term_row_index(struct term *t, int row);
void term_forget_strings(struct term *t);

#endif
