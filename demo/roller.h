/* Paint on the ground as a view sees it: straight edges are cut so short that the lens and the crown
 * bend them as they bend the ground. Feet. */
#ifndef DEMO_ROLLER_H
#define DEMO_ROLLER_H

#include <cairo.h>

#include "demo/view.h"

struct roller {
    cairo_t *cr;
    const struct view *view;
    double r, g, b, a;
    double faded; /* share that is worn off, in patches; 0 none */
};

struct spot {
    double x, y;
};

struct slab {
    double x0, y0, x1, y1;
};

void roller_slab(const struct roller *r, struct slab s);
/* Nothing when a part of it cannot be seen. */
void roller_shape(const struct roller *r, const struct spot *corner, size_t n);
/* Part of a ring's line between two angles, counterclockwise from X (radians). */
struct ring {
    double x, y, radius, width, from, to;
};
void roller_ring(const struct roller *r, const struct ring *ring);
/* Adds a point to cairo's path; false when it cannot be seen. */
bool roller_to(const struct roller *r, double x, double y);

#endif
