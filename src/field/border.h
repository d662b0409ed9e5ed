/* The sidelines in a picture: broad and bright, of a width that each school chooses, and seen where hash
 * marks are not any more. Inner to the room. */
#ifndef FIELD_BORDER_H
#define FIELD_BORDER_H

#include "field/lock.h"

struct border_ask {
    const struct luma *picture;
    const struct grid *grid;
    double noise; /* luma_noise() of the picture */
};

/* How broad they are, inches: 4 to 72; 0: none is where the camera has them. */
double border_width(const struct border_ask *ask, const struct camera *c);

/* How much of them is where the camera has them: grey levels over the turf, summed over pieces of two
 * feet. From border_enough on that is no chance. */
double border_seen(const struct border_ask *ask, const struct camera *c);
extern const double border_enough;

/* Is one of them seen some steps beside the place where the camera has it? The camera is wrong then. */
bool border_is_elsewhere(const struct border_ask *ask, const struct camera *c);

#endif
