/* What is painted on the turf, and how it is mown. */
#ifndef DEMO_LINES_H
#define DEMO_LINES_H

#include <cairo.h>

#include "demo/view.h"
#include "show/grid.h"

enum { YARD_LINES = 21 }; /* from side 1's goal line to side 2's */

struct paint {
    const struct grid *grid; /* where the hashes are; NULL: a high school's */
    double faded;            /* share of the paint that is worn off, in patches; 0 none */
    bool missing[YARD_LINES];
    bool no_numbers, no_stripes;
    const char *soccer; /* color of a second sport's lines, see soccer.h; NULL: none */
};

/* Lines 4 in wide, hash marks 24 in long, number tops 9 yd from the sideline and 6 ft high (NCAA
 * 1-2-1-i; professionals' bottoms 12 yd from it, as league texts have it). */
void lines_draw(cairo_t *cr, const struct view *w, const struct paint *p);

#endif
