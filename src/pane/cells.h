/* The difference writer: knows what every cell of the hole really shows and writes only what is to
 * look different. */
#ifndef PANE_CELLS_H
#define PANE_CELLS_H

#include "pane/brush.h"

/* A cell of that look, its unseen colours left out. */
struct patch patch_of(uint32_t glyph, ink fg, ink bg);

struct cells {
    int row, col, rows, cols; /* the hole */
    bool utf8, light;         /* light: the terminal's own paper is */
    enum term_colors colors;
    struct patch *shown; /* rows x cols */
    rgb *source;         /* 2 a cell: the pixels it was written for, only kept with a palette */
    struct palette palette;
};

void cells_open(struct cells *c, enum term_colors colors, bool utf8);
void cells_close(struct cells *c);
/* Places the hole; nothing is known about what it shows. */
void cells_hole(struct cells *c, int row, int col, int rows, int cols);
void cells_forget(struct cells *c);
/* What is shown in so many rows of the hole is not known any more. */
void cells_unknown(struct cells *c, int first, int rows);

/* How exact the colours have to be, in steps of 255 of the worst channel. 0 and 0 is exact. With
 * a palette the difference meant is from the pixel that a cell was written for. */
struct cells_care {
    int skip; /* a cell whose colours are within this stays as it is */
    int near; /* a colour at hand within this is taken instead of a new one */
};

/* Both write differences from cell number *at on, while the brush has room, and
 * return true when the last cell is done (*at is then rows * cols).
 *
 * cells_halves: two pixels a cell, one above the other; px is cols wide and 2 * rows high. Without
 * UTF-8 a cell is one colour, the mean of the two. Not for terminals without colours.
 * cells_grid: the cells are given, rows x cols. */
bool cells_halves(struct cells *c, const rgb *px, struct cells_care care, size_t *at,
                  struct brush *b);
bool cells_grid(struct cells *c, const struct patch *want, size_t *at, struct brush *b);

/* The least `skip` of at least `care` with which px would take about `bytes`, at most `worst`. */
int cells_skip_for(const struct cells *c, const rgb *px, int care, int worst, size_t bytes);

/* Characters alone (a terminal without colours): shades and halves with
 * UTF-8, a ramp of ASCII without. px as for cells_halves; want is rows x cols. */
void cells_shades(const struct cells *c, const rgb *px, struct patch *want);

#endif
