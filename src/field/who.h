/* Whose dot lies under a click. */
#ifndef FIELD_WHO_H
#define FIELD_WHO_H

#include <stddef.h>

#include "field/camera.h"

/* How far from their dots people usually stand, sd in inches in each direction: half a step (common
 * practice, no source), until the picks of a clip have said better. */
#define WHO_USUAL_SD_IN 11.25

struct who_ask {
    struct field_place at;
    double cov[2][2];               /* of the click and the camera, square inches */
    double usual_sd;                /* inches */
    const struct field_place *dots; /* where everybody should be at that count, inches */
    size_t n;
};

struct candidate {
    size_t dot;         /* position in dots */
    double probability; /* that it is this one, given that it is one of them */
    double off;         /* inches from the dot */
};

/* The likeliest of them first, `most` at most; returns how many. Of normal errors, each dot as likely
 * beforehand as any other (Bayes). */
size_t who_is(const struct who_ask *ask, struct candidate *out, size_t most);

/* Everybody who was clicked at once: each click's dot, or -1 where nobody's is near (four times what is
 * usual and the click's error together). Of two neighbours between whom somebody stands, one by one
 * would both be the nearer one. All asks are of the same dots. */
void who_all(const struct who_ask *asks, size_t n, int *dot);

#endif
