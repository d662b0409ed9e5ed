/* A real program on a pseudo-terminal, seen as a person sees it: through libvterm.
 *
 *     struct term *t = term_start(NULL, "boxcall", show, NULL);
 *     term_wait_text(t, "Larkspur");
 *     term_keys(t, "t 3 l");
 *     term_wait_row(t, -1, "Tuba 3");
 *     assert_true(term_cell(t, -1, 0).reverse);
 *     term_keys(t, "Ctrl-q");
 *     assert_int_equal(term_wait_exit(t), 0);
 *     term_assert_restored(t);
 *     term_close(t);
 *
 * Nothing sleeps: each wait reads what the program writes until the state is there. When it is not
 * there after DEADLINE_MS, or the program ended, the test fails with the screen and the last raw
 * bytes. Rows and columns count from 0; a negative row counts from the bottom (-1 is the last).
 * Strings handed back are valid until the next call on the same row or of the same function. */
#ifndef LIB_TERM_H
#define LIB_TERM_H

#include <stdbool.h>
#include <stddef.h>

#include "lib/child.h"
#include "lib/files.h"

struct term;

/* What pictures the terminal says it can show when it is asked. */
enum term_pictures {
    TERM_NO_PICTURES, /* DA1 without 4, silence to a kitty graphics query */
    TERM_KITTY,       /* answers queries and frames with OK; shared memory with EBADF */
    TERM_SIXEL,       /* DA1 with 4 */
};

struct term_setup {
    int rows, cols;         /* 0: 24 and 80 */
    const char *home;       /* NULL: a fresh one */
    const char *dir;        /* working folder; NULL: the test's own */
    const char *const *env; /* as child_env's extra */
    enum term_pictures pictures;
    bool mute;  /* answers nothing, as over a line that lost its way back */
    int cell_w; /* pixels of a cell; 0: 8 and 16; -1: the terminal does not say */
    int cell_h;
};

/* Arguments end with NULL. setup may be NULL. */
struct term *term_start(const struct term_setup *setup, const char *program, ...)
    __attribute__((sentinel));
/* Ends the program if it still runs (SIGKILL) and frees everything; accepts NULL. */
void term_close(struct term *t);

/* --- hands ------------------------------------------------------------------------------- */

/* Key names separated by spaces, sent as this terminal sends them in the mode the program chose:
 * "t 3 l Enter", "Ctrl-z", "Shift-Left", "Alt-x", "PageUp", "F2", "Esc", "Space". A lone character
 * is itself. A name that is no key fails the test. */
void term_keys(struct term *t, const char *names);
/* Each character of the text, as typed. */
void term_type(struct term *t, const char *text);
/* Bytes as they are. */
void term_send(struct term *t, const char *bytes, size_t n);
/* Bracketed when the program asked for it (mode 2004). */
void term_paste(struct term *t, const char *text);
/* The program has read every byte that was sent. */
bool term_taken(const struct term *t);
/* Mouse, as SGR 1006 (or pixels, 1016). Fails when the program did not ask for the mouse.
 * button: 1 left, 2 middle, 3 right. wheel: negative is up (away), one notch each. */
void term_click(struct term *t, int row, int col, int button);
void term_press(struct term *t, int row, int col, int button);
void term_drag(struct term *t, int row, int col, int button); /* motion with the button down */
void term_release(struct term *t, int row, int col, int button);
void term_wheel(struct term *t, int row, int col, int notches);
void term_resize(struct term *t, int rows, int cols);
void term_signal(struct term *t, int sig);
/* The window is closed: both sides of the line go away, the program gets SIGHUP. */
void term_hangup(struct term *t);

/* --- patience ---------------------------------------------------------------------------- */

void term_wait_text(struct term *t, const char *text);              /* on any row */
void term_wait_row(struct term *t, int row, const char *text);      /* somewhere in that row */
void term_wait_gone(struct term *t, const char *text);              /* on no row */
void term_wait_gone_row(struct term *t, int row, const char *text); /* not in that row */
void term_wait_raw(struct term *t, const char *bytes); /* somewhere in all that was written */
/* Until the program, having taken every key, is about to block with nothing left to do (it writes
 * a byte to descriptor BOXCALL_IDLE_FD then). Everything it drew is on the screen afterwards. */
void term_wait_idle(struct term *t);
/* Until the program has ended; exit code, or minus the signal. */
int term_wait_exit(struct term *t);
/* Until ready(user) holds; it is asked again after whatever the program writes and every few
 * milliseconds. `what` is for the message. */
void term_wait_until(struct term *t, bool (*ready)(void *user), void *user, const char *what);
/* Reads what is there now, without waiting. */
void term_pump(struct term *t);

/* How fast this terminal takes what the program writes, for tests of back-pressure. */
enum { TERM_FULL_SPEED = 0, TERM_FROZEN = -1 };
void term_speed(struct term *t, int bytes_per_second);

/* --- eyes -------------------------------------------------------------------------------- */

enum { COLOR_NONE = -1, COLOR_RGB = 0x1000000 }; /* as term_cell gives colours */

struct term_cell {
    char text[32]; /* UTF-8; "" for an untouched cell or the right half of a wide one */
    int width;
    bool bold, underline, italic, blink, reverse, strike;
    int fg, bg; /* COLOR_NONE, a palette index 0-255, or COLOR_RGB | 0xRRGGBB */
};

const char *term_row(struct term *t, int row); /* spaces at the end taken off */
const char *term_screen(struct term *t);       /* all rows, each with a newline */
bool term_has(struct term *t, const char *text);
bool term_find(struct term *t, const char *text, int *row, int *col); /* col is a cell */
struct term_cell term_cell(struct term *t, int row, int col);
int term_rows(const struct term *t);
int term_cols(const struct term *t);
void term_cursor(struct term *t, int *row, int *col);
bool term_cursor_visible(const struct term *t);
bool term_alternate_screen(const struct term *t);
const char *term_title(const struct term *t);
/* Is a DEC private mode on: 1000 mouse, 1049 alternate screen, 2004 paste ... */
bool term_mode(const struct term *t, int mode);
int term_pid(const struct term *t);

/* Control strings the program sent, kept off the screen: kind '_' (APC, kitty graphics),
 * 'P' (DCS, sixel), ']' (OSC, links and titles), without introducer and terminator. */
size_t term_strings(const struct term *t, char kind);
const char *term_string(const struct term *t, char kind, size_t i); /* NULL past the end */
bool term_has_string(const struct term *t, char kind, const char *part);
void term_wait_string(struct term *t, char kind, const char *part);

/* Every byte the program wrote; n may be NULL. */
const char *term_raw(const struct term *t, size_t *n);
void term_forget_raw(struct term *t); /* starts the record afresh, strings too */

/* The line and the screen are as they were before the program: tty settings, alternate screen,
 * cursor, mouse, paste mode, colours. */
void term_assert_restored(struct term *t);

/* A failing wait names the line of the test that waited. */
struct term *term_at(struct term *t, const char *file, int line);
#define term_wait_text(t, text)     term_wait_text(term_at(t, __FILE__, __LINE__), text)
#define term_wait_row(t, row, text) term_wait_row(term_at(t, __FILE__, __LINE__), row, text)
#define term_wait_gone(t, text)     term_wait_gone(term_at(t, __FILE__, __LINE__), text)
#define term_wait_gone_row(t, row, text)                                                           \
    term_wait_gone_row(term_at(t, __FILE__, __LINE__), row, text)
#define term_wait_raw(t, bytes)         term_wait_raw(term_at(t, __FILE__, __LINE__), bytes)
#define term_wait_idle(t)               term_wait_idle(term_at(t, __FILE__, __LINE__))
#define term_wait_exit(t)               term_wait_exit(term_at(t, __FILE__, __LINE__))
#define term_wait_string(t, kind, part) term_wait_string(term_at(t, __FILE__, __LINE__), kind, part)
#define term_wait_until(t, ready, user, what)                                                      \
    term_wait_until(term_at(t, __FILE__, __LINE__), ready, user, what)
#define term_assert_restored(t) term_assert_restored(term_at(t, __FILE__, __LINE__))

#endif
