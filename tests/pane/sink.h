/* A terminal for the pane to write to: a pipe whose other end is read into libvterm. APC strings
 * are taken out (libvterm 0.1.4 would print them) and kept; answers to CSI 5n are counted. */
#ifndef SINK_H
#define SINK_H

#include <vterm.h>

#include "base/buf.h"
#include "pane/pane.h"

struct sink {
    int read_fd, write_fd;
    VTerm *vt;
    VTermScreen *screen;
    int rows, cols;
    struct buf raw; /* every byte */
    struct buf apc; /* contents of the APC strings, a newline after each */
    int answers;    /* CSI 0n given and not yet handed to the pane */
    int string;     /* inside: 0 nothing, 'E' after ESC, '_' APC, 'e' ESC in APC */
    int64_t now_us;
};

void sink_open(struct sink *s, int rows, int cols);
void sink_close(struct sink *s);
/* Reads at most so many bytes of what was written; returns how many. */
size_t sink_take(struct sink *s, size_t most);
/* Pumps, reads and answers until the pane has nothing more to say. */
void sink_settle(struct sink *s, struct pane *p);
void sink_text(struct sink *s, const char *text); /* as if curses wrote it */

VTermScreenCell sink_cell(struct sink *s, int row, int col);
/* Colours of the upper and lower half of a cell, 0xRRGGBB by xterm's palette; dies on a glyph
 * that is no half block. */
void sink_halves(struct sink *s, int row, int col, uint32_t *top, uint32_t *bottom);

#endif
