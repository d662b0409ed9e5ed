/* What this terminal can do, asked of the terminal itself before curses starts.
 *
 * One burst of queries goes out with Primary Device Attributes (DA1) last: every terminal answers
 * DA1 and answers in order, so its reply means that nothing more will come. Sources of the queries
 * and replies: ECMA-48 (DSR), XTerm Control Sequences (DA1, XTVERSION, DECRQM, DECRQSS, window
 * reports), the kitty graphics protocol, and the synchronized output note (mode 2026). */
#ifndef PANE_TERMCAPS_H
#define PANE_TERMCAPS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

enum term_colors { TERM_NONE, TERM_16, TERM_256, TERM_TRUECOLOR };

/* How the pane shows a picture, from the plainest to the sharpest. */
enum term_pane {
    TERM_PANE_NONE,
    TERM_PANE_CELLS,
    TERM_PANE_SYMBOLS,
    TERM_PANE_SIXEL,
    TERM_PANE_KITTY
};

struct term_caps {
    /* answered by the terminal */
    bool answered;     /* DA1 came: it is a terminal that talks */
    bool dsr;          /* answers CSI 5n with CSI 0n, so that writing can be paced by it */
    bool kitty;        /* graphics sent inside the stream */
    bool kitty_shm;    /* graphics through POSIX shared memory: the terminal is on this machine */
    bool sixel;        /* DA1 lists 4 */
    bool synchronized; /* mode 2026 is known */
    bool pixel_mouse;  /* mode 1016 is known */
    bool rgb_echoed;   /* gave back a 24-bit colour unharmed when asked for its rendition */
    bool light;        /* the background is light (OSC 11) */
    char version[64];  /* XTVERSION, "" when not answered */
    /* from environment and window size */
    bool utf8;
    bool multiplexed;            /* inside tmux or screen: no graphics get through */
    int rows, cols;              /* of the terminal, 0 when unknown */
    int cell_width, cell_height; /* pixels, 0 when unknown */
    /* decided from all of the above and the settings */
    enum term_colors colors;
    enum term_pane still, moving; /* for a picture at rest and for one in motion */
};

/* What a person set; NULL or "" leaves it to the terminal. */
struct term_settings {
    const char *pane;  /* cells | kitty | sixel | symbols | none | auto */
    const char *color; /* true | 256 | 16 | none | auto */
};

/* getenv()'s shape, so that a test can pass an environment of its own. */
typedef char *(*term_getenv)(const char *name);

/* What a person typed while the terminal was asked. */
struct term_typed {
    char *bytes; /* may be NULL: it is thrown away */
    size_t cap, n;
};

/* Reads replies (any cut of them) into caps and returns how many bytes they were. Bytes that are no
 * reply are what the person typed meanwhile and go to `typed`, as many as it takes. Returns at
 * DA1's end; caps->answered tells. A reply cut off at the end is not consumed: call again from
 * there with more bytes. */
size_t term_caps_read(struct term_caps *caps, const char *bytes, size_t n,
                      struct term_typed *typed);

/* Decides colours and pane from what was answered, the environment and the settings.
 * Fails (ERR_INPUT, e names the setting and its choices) for a setting it does not know; caps are
 * then decided as if it were not set. Honours NO_COLOR, COLORTERM, TERM and the locale. */
bool term_caps_decide(struct term_caps *caps, term_getenv env, const struct term_settings *set,
                      struct err *e);

/* Reads the window's size anew (after SIGWINCH); true when the cells have another size in pixels.
 */
bool term_caps_measure(struct term_caps *caps, int fd);

struct term_line {
    int in, out; /* the terminal's descriptors, not yet in the hands of curses */
    int timeout_ms;
    term_getenv env;
};
/* Asks the terminal and decides. Waits for the timeout at most; a terminal that does not answer is
 * a plain one. What was typed meanwhile is in typed, so that no key is lost. Not being a terminal
 * is no error. */
bool term_caps_query(struct term_caps *caps, const struct term_line *line,
                     const struct term_settings *set, struct term_typed *typed, struct err *e);

#endif
