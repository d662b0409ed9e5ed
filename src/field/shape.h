/* Lines and arcs through people: fitted so that the sum of squared distances to the shape, not along
 * an axis, is least. Any unit. */
#ifndef FIELD_SHAPE_H
#define FIELD_SHAPE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "field/camera.h"

struct shape_line {
    struct field_place through; /* the points' middle */
    double angle;   /* radians, -pi/2 < angle <= pi/2, of its direction from x towards y */
    double squares; /* sum of squared distances */
};

/* Pearson, "On Lines and Planes of Closest Fit", Philosophical Magazine 2(6), 1901. False with
 * ERR_INPUT: fewer than two points, or all in one place. */
bool shape_line(const struct field_place *p, size_t n, struct shape_line *out, struct err *e);
/* How far a point is off the line, to the left of its direction positive. */
double shape_off_line(const struct shape_line *l, struct field_place p);

struct shape_arc {
    struct field_place center;
    double radius, squares;
};

/* The geometric fit: Levenberg-Marquardt from Taubin's algebraic one ("Estimation of Planar Curves
 * ...", PAMI 13(11), 1991). False with ERR_INPUT: fewer than three points, or points in a line, which
 * is an arc of no end. */
bool shape_arc(const struct field_place *p, size_t n, struct shape_arc *out, struct err *e);
/* How far a point is outside the arc. */
double shape_off_arc(const struct shape_arc *a, struct field_place p);

#endif
