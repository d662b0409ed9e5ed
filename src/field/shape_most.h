/* The line or the arc that most of some places lie on, whatever the others do: of those through two
 * (three) of the places the one from which two thirds are off by least (Rousseeuw, "Least Median of
 * Squares Regression", Journal of the American Statistical Association 79, 1984, with another quantile;
 * from memory). Rough: a start for one that is fitted through those two thirds. */
#ifndef FIELD_SHAPE_MOST_H
#define FIELD_SHAPE_MOST_H

#include "base/arena.h"
#include "field/shape.h"

/* Of n that are off, ascending, the place of the last that must belong: two thirds do. */
size_t shape_belong(size_t n);
/* squares of *out mean nothing. False: no two (three) of them make one. */
bool shape_line_most(struct arena *a, const struct field_place *p, size_t n,
                     struct shape_line *out);
bool shape_arc_most(struct arena *a, const struct field_place *p, size_t n, struct shape_arc *out);

#endif
