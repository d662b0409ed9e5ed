/* What clicks say of the ground, with its error. Feet stand on the ground: a click on a head is not
 * where somebody stands.
 *
 * Clicks in one picture share the camera's error, so their places are not independent: a gap between
 * two neighbours is known far better than where either of them stands. First-order propagation of the
 * camera's covariance and of the clicks' (Hartley & Zisserman, "Multiple View Geometry", 2nd ed.,
 * chapter 5; section from memory). */
#ifndef FIELD_MEASURE_H
#define FIELD_MEASURE_H

#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"
#include "field/camera.h"

struct seen_by {
    struct camera camera;
    double cov[CAMERA_PARAMETERS][CAMERA_PARAMETERS];
};

/* How well a person points at a foot: sd in pixels of a picture of 1080 lines (common practice, no
 * source). */
#define CLICK_SD_PX 1.5

struct clicks {
    const struct pixel *at;
    size_t n;
    double sd; /* pixels */
};

struct measured {
    size_t n;
    struct field_place *at; /* inches */
    double *cov;            /* 2n x 2n, row by row: x and y of each; square inches */
};

/* False with ERR_INPUT: a click in the sky or beyond a thousand feet, named by its number from 1. */
bool measure(struct arena *a, const struct seen_by *by, const struct clicks *clicks,
             struct measured *out, struct err *e);

/* The 95 % ellipse of one place: half its axes in inches, and the direction of the longer one in
 * radians from x towards y, -pi/2 < angle <= pi/2. */
struct ellipse {
    double major, minor, angle;
};
struct ellipse measure_ellipse(const struct measured *m, size_t i);

/* A length with half the width of its 95 % interval. Inches. */
struct length {
    double inches, error;
};
struct length measure_distance(const struct measured *m, size_t i, size_t k);

#endif
