/* A frame's number burnt along the top edge, so that a test can tell which frame it sees.
 *
 * The top BARS_HEIGHT(height) rows are cut into 20 equal cells across: white, black (the two
 * levels), the number's low 16 bits, most significant first (white = 1), even parity of those 16,
 * and the opposite of the parity. */
#ifndef DEMO_BARS_H
#define DEMO_BARS_H

#include <cairo.h>

enum { BARS_CELLS = 20 };

static inline int bars_height(int height)
{
    return height / 15 > 8 ? height / 15 : 8;
}

void bars_draw(cairo_t *cr, int width, int height, unsigned number);

#endif
