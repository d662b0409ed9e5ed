/* A field as a camera sees it, drawn pixel by pixel from the ground: another way than the one that
 * is tested, which goes from the ground to the picture. */
#ifndef TESTS_FIELD_DRAWN_H
#define TESTS_FIELD_DRAWN_H

#include "field/lock.h"

struct drawn {
    struct luma luma;
    uint8_t *pixels; /* heap memory */
};

struct drawing {
    const struct grid *grid;
    double sideline_width; /* inches */
    double turf, white;    /* grey levels */
    double noise;          /* sd, grey levels */
    double people;         /* share of the picture's spots hidden by dark boxes */
    unsigned long long seed;
};

void draw(const struct camera *c, const struct drawing *how, struct drawn *out);
void drawn_free(struct drawn *d);

#endif
