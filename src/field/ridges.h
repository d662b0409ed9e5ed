/* Where white bars may be in a picture, whichever: for the first look, before it is known where any
 * is to be expected. Inner to the room. */
#ifndef FIELD_RIDGES_H
#define FIELD_RIDGES_H

#include "field/lock.h"

/* How far the nearest bar is from each pixel, along its row (bars that stand rather than lie) and
 * along its column; whole pixels of the map, RIDGES_FAR at most. */
enum { RIDGES_FAR = 60 };
struct ridges {
    uint8_t *in_row, *in_column; /* heap memory */
    int width, height;           /* of the maps: the picture's, or less where that is noisy */
    int reduced;                 /* by so much */
};

void ridges_of(const struct luma *l, struct ridges *out);
void ridges_free(struct ridges *r);

/* How far the nearest bar is from a pixel across a line that runs along (dx, dy) there, in pixels of
 * the picture; RIDGES_FAR and more where none is, or outside. */
double ridges_off(const struct ridges *r, struct pixel at, double dx, double dy);

#endif
