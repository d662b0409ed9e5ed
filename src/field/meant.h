/* The camera that picks mean, with what is known before: from the start that their homography gives,
 * and where that ends in one that misses them by far, from where press boxes usually are. Rough picks
 * leave a homography little to go by, and the least misses near it are then not the least of all. */
#ifndef FIELD_MEANT_H
#define FIELD_MEANT_H

#include "field/solve.h"

struct meant_ask {
    struct camera_ask ask;
    const struct pick *spots; /* of its picks, or where they cross: four at least */
    size_t n;
    struct camera picture; /* its size, and the field's half */
};

/* False as camera_start() and camera_improve(). */
bool camera_meant(const struct meant_ask *ask, struct camera_fit *out, struct err *e);

#endif
