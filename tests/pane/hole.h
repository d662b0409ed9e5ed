/* A pane of TALL x WIDE cells in the middle of a small screen, and a picture for it. */
#ifndef HOLE_H
#define HOLE_H

#include "pane/sink.h"

enum { ROWS = 12, COLS = 40, AT_ROW = 2, AT_COL = 5, TALL = 6, WIDE = 20 };

struct hole {
    struct sink sink;
    struct pane *pane;
    uint8_t px[TALL * 2 * WIDE * 4];
};

/* Cells for both paces, answers to CSI 5n. */
struct term_caps caps_of(enum term_colors colors, bool utf8);
void hole_open(struct hole *h, struct term_caps caps);
void hole_close(struct hole *h);
void hole_noise(struct hole *h, unsigned *seed, int range); /* channels 0 .. range - 1 */
void hole_fill(struct hole *h, uint32_t rgb);
uint32_t hole_pixel(const struct hole *h, int x, int y);
/* Offers h->px and lets the terminal take all of it. */
void hole_show(struct hole *h, enum pane_pace pace);
/* The largest difference of any channel between the picture and what the terminal shows. */
int hole_worst(struct hole *h);

#endif
