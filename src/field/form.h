/* A whole form against its dots: what all of it is off by, and who is off within it.
 *
 * Clicks on feet in any order and dots are paired all at once (field/assign.h) around a common shift
 * and scale, which are found with the pairing in turn: the shift is the median of what is left, the
 * scale the least squares about the form's middle. Of two pairings, from the dots as they are
 * and from middle upon middle, the likelier one is taken: with the smaller sum of distances and shift. */
#ifndef FIELD_FORM_H
#define FIELD_FORM_H

#include <stddef.h>

#include "base/arena.h"
#include "field/camera.h"

/* A form is said to have moved, or to be too wide, only when most of it has: where every third stands
 * within half a step of the own dot, the others are off by themselves. */
struct form_ask {
    const struct field_place *feet; /* inches */
    const struct field_place *dots;
    size_t n_feet, n_dots;
    double gate; /* inches from the shifted dot, beyond which a foot is nobody's, > 0 */
};

struct form_fit {
    struct field_place shift; /* of the form, inches */
    double scale;             /* about its middle; 1 with fewer than ten pairs */
    size_t pairs;
    int *dot;                /* of each foot, -1: none */
    struct field_place *off; /* of each foot from its place in the shifted form, inches */
};

void form_check(struct arena *a, const struct form_ask *ask, struct form_fit *out);

#endif
