/* How far each of those who were clicked is off the line or the arc through all of them, with its
 * error: the same click bends the shape and is measured against it, and all share the camera's error,
 * so that neither is the click's alone. */
#ifndef FIELD_RESIDUAL_H
#define FIELD_RESIDUAL_H

#include "field/measure.h"
#include "field/shape.h"

struct residual {
    struct field_place off; /* from the nearest place on the shape, inches */
    double inches, error;   /* how far that is, and half its 95 % interval */
};

struct shape_fit {
    bool arc;
    struct shape_line line;
    struct shape_arc circle;
    struct residual *at; /* of each click */
    size_t n;
    double rms; /* inches */
};

/* Who stands far off does not bend the shape he is measured against: of five or more, those who are off
 * by much more than the others are (scale: median absolute deviation) and than the clicks may be take no
 * part in the fit, at most a third of all. False with ERR_INPUT as shape_line() and shape_arc(). */
bool shape_through(struct arena *a, const struct measured *m, bool arc, struct shape_fit *out,
                   struct err *e);

/* The 95 % ellipse of the middle of all of the places. */
struct ellipse measure_middle(const struct measured *m);

#endif
