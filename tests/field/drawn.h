/* A field as a camera sees it, drawn pixel by pixel from the ground: another way than the one that
 * is tested, which goes from the ground to the picture, with rays of its own. What spoils a picture
 * is added in the order in which it happens: paint, sun, people, blur, noise, compression. */
#ifndef TESTS_FIELD_DRAWN_H
#define TESTS_FIELD_DRAWN_H

#include "field/lock.h"

struct drawn {
    struct luma luma;
    uint8_t *pixels; /* heap memory */
};

struct drawing {
    const struct grid *grid;
    double sideline_width; /* inches; 0: no sideline */
    double turf, white;    /* grey levels */
    double noise;          /* sd, grey levels */
    double people;         /* share of the picture's spots hidden by dark boxes */
    unsigned long long seed;
    double blur;     /* sd, pixels */
    double smear;    /* pixels to the side while the shutter is open */
    double missing;  /* share of the yard lines, and of the hashes, that is not painted */
    double faded;    /* so much of the paint is worn off at most, in patches: 0 .. 1 */
    double shadow;   /* so much of the light is taken off where a stand's shadow lies: 0 .. 1 */
    double ramp;     /* grey levels from the left edge to the right one */
    double quantum;  /* step of the 8 by 8 cosine transform's coefficients; 0: not compressed */
    bool other_game; /* the lines of a soccer field, in the same white */
    bool no_numbers;
};

void draw(const struct camera *c, const struct drawing *how, struct drawn *out);
void drawn_free(struct drawn *d);

/* Inner to the two files of the drawer: what happens to the picture behind the lens. */
struct plane {
    double *at; /* grey levels, row by row */
    int width, height;
};
double drawn_unit(unsigned long long *chance); /* 0 .. 1 */
void spoil(struct plane *p, const struct drawing *how, unsigned long long *chance);

#endif
