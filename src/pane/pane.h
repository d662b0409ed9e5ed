/* The picture pane: a hole of rows x cols cells which curses leaves blank and never repaints, and
 * into which this writer alone puts a moving or a still picture. It does not know curses.
 *
 * A moving picture is cheap: half blocks, only the cells that changed (or shared memory where the
 * terminal takes it). A still one is sharp: the best the terminal said it has.
 *
 * Nothing here blocks. Bytes leave through an open file description of the pane's own that does not
 * block, cut into segments of at most PANE_SEGMENT bytes. Each segment stands for itself: it saves
 * and restores cursor and rendition and ends with the query CSI 5n; at most PANE_FLIGHT bytes are
 * out whose answer has not come (2 s of silence counts as an answer). So what curses writes waits
 * behind a few milliseconds of picture even on a slow line, and a picture that came while an older
 * one was still being written simply takes its turn; the ones between are dropped. A strip of sixel
 * cannot be cut: it is longer than that, and sent only where the line was seen to carry it in 40
 * ms; a slower line keeps cells in exact colours.
 *
 * The loop that owns a pane does, again and again:
 *     pane_pump(p, now);
 *     if (!pane_busy(p))  doupdate();            a segment is never torn apart
 *     poll(..., {pane_fd(p), pane_busy(p) ? POLLOUT : 0}, pane_wait_ms(p, now));
 *     on the key defined for "\033[0n":  pane_acknowledge(p, now);
 * Times are microseconds of clock_mono_us(). */
#ifndef PANE_PANE_H
#define PANE_PANE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "pane/termcaps.h"

enum { PANE_SEGMENT = 4096, PANE_FLIGHT = 8192 };

enum pane_pace { PANE_MOVING, PANE_STILL };

struct pane;

/* Opens the pane on the terminal behind out_fd, which stays as it is (blocking, the caller's): the
 * pane opens the same terminal a second time. Fails with ERR_FAILED when there is none to open.
 * The pane has no place yet and writes nothing. */
bool pane_open(struct pane **out, int out_fd, const struct term_caps *caps, struct err *e);
/* Takes the picture off, finishes what was begun (a fifth of a second at most) and frees all.
 * Call before curses ends. Accepts NULL. */
void pane_close(struct pane *p);

/* The hole: 0-based row and column of its top left cell and its size; rows or cols <= 0 is no hole.
 * A hole that changes takes its images off, forgets its cells (the caller has the old place
 * repainted by curses, after pane_busy() is over) and wants a new picture. Keep it off the
 * terminal's last row where sixel may be used. */
void pane_hole(struct pane *p, int row, int col, int rows, int cols);

/* The size in pixels that pictures should have for this pace; false while there is no hole or the
 * pane is switched off. Pixels are taken as square. */
bool pane_wanted(const struct pane *p, enum pane_pace pace, int *width, int *height);

struct pane_image {
    const uint8_t *rgba; /* 4 bytes a pixel: R G B x */
    int width, height;
    size_t stride; /* bytes from one row to the next */
};
/* Offers a picture (copied). False and nothing done when it has not the size pane_wanted() says.
 * Replaces one that was offered and not yet begun. */
bool pane_picture(struct pane *p, const struct pane_image *im, enum pane_pace pace);

/* A click on the screen; fractions of a cell count (col 7.5 is the middle of column 7). */
struct pane_click {
    double row, col;
};
/* The same in a clip: 0..1 from its top left corner. */
struct pane_spot {
    double x, y;
};
/* Where a click is in a clip of width x height square pixels, fitted into the hole. False, and
 * nothing stored, beside the picture. */
bool pane_point(const struct pane *p, struct pane_click at, int width, int height,
                struct pane_spot *out);

/* Writes what may be written now. */
void pane_pump(struct pane *p, int64_t now_us);
/* A segment is partly out: nobody else may write to the terminal until it is gone. */
bool pane_busy(const struct pane *p);
/* Something of a picture is still to be written. */
bool pane_pending(const struct pane *p);
/* For poll(); wait for POLLOUT only while pane_busy(). */
int pane_fd(const struct pane *p);
/* How long until pane_pump() has something to do even if nothing else happens; -1: no need. */
int pane_wait_ms(const struct pane *p, int64_t now_us);
/* The terminal answered CSI 5n. */
void pane_acknowledge(struct pane *p, int64_t now_us);
/* How many such answers may still come; whoever reads the terminal next would take them for keys. */
int pane_awaited(const struct pane *p);

/* The screen was cleared or repainted from outside: everything is to be written again. */
void pane_forget(struct pane *p);
/* Takes the picture off and blanks the hole, at once (look at pane_busy() before writing over it);
 * shows nothing until the next pane_picture(). */
void pane_hide(struct pane *p);

/* What was written so far; for tests, benchmarks and a status line. */
struct pane_counts {
    int64_t bytes, segments;
    int64_t frames;     /* pictures written to their end */
    int64_t dropped;    /* pictures replaced before they were begun */
    size_t flight;      /* bytes not yet answered for */
    size_t flight_most; /* the most there ever were */
    int64_t rate_bps;   /* bytes a second the line was seen to carry, 0 while unknown */
};
struct pane_counts pane_counted(const struct pane *p);

#endif
