/* The intervals along a rank that was clicked from one end to the other. Inches. */
#ifndef FIELD_INTERVAL_H
#define FIELD_INTERVAL_H

#include "field/measure.h"

struct intervals {
    struct length *gap; /* [i]: from click i to the next */
    size_t n;
    struct length mean;
    double should;     /* what each should be: as it was said, else what most are */
    int closes, opens; /* the gap that is furthest from what it should be by more than both its
                        * error and the tolerance, too short and too long; -1 */
};

/* Half a step either way is what staff let pass (common practice, no source), inches. */
#define INTERVAL_TOLERANCE_IN 11.25

/* The gap that is furthest from what it should be, by more than both its error and a tolerance in
 * inches, among those that are too short (side -1) or too long (1); -1. */
int interval_furthest(const struct intervals *g, int side, double tolerance);

/* of: what each should be, inches; NAN: what most are (the median). The mean is that of the gaps, whose
 * error is theirs together: in a straight rank all clicks but the first and the last fall out of it.
 * False with ERR_INPUT: fewer than two clicks, or two on one spot. */
bool intervals(struct arena *a, const struct measured *m, double of, struct intervals *out,
               struct err *e);

#endif
