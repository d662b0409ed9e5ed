/* What a mark measured: one number with its error, and what it should have been.
 *
 * Steps are those that feet walk, 22.5 in (8 to 5 yards); a step size is how many of them go into five
 * yards; a speed is feet a second; an angle is one on the picture, in degrees, not in space. */
#ifndef MARK_MEASURE_H
#define MARK_MEASURE_H

#include <stdbool.h>

#include "base/buf.h"

enum measure_kind {
    MEASURE_NONE,
    MEASURE_INTERVAL, /* from one performer to the next */
    MEASURE_DISTANCE,
    MEASURE_LINE,  /* off a line */
    MEASURE_ARC,   /* off an arc */
    MEASURE_PLACE, /* off the own dot, or the own place in a form */
    MEASURE_STEP,
    MEASURE_SPEED,
    MEASURE_ANGLE,
    MEASURE_KINDS
};

struct measure {
    enum measure_kind kind; /* NONE: the rest says nothing */
    double value;
    double error; /* half of the 95 % interval, > 0; NAN: not known */
    double of;    /* what it should be; NAN: not said */
};

/* "interval", "distance", "line", "arc", "place", "step size", "speed", "angle"; "" for none. */
const char *measure_name(enum measure_kind k);
/* False for another name. "" is none. */
bool measure_named(const char *name, enum measure_kind *out);

/* "interval 1.4 ± 0.2 of 2", "off the line 0.8 ± 0.1 steps", "6.7 ± 0.2 to 5 (of 8 to 5)"; nothing for
 * none. The error has one significant digit, the value as many decimals as it, both two at most. */
void measure_text(const struct measure *m, struct buf *out);

/* How far off what it should be, in its unit, >= 0: what is off a line, an arc or a dot should be
 * nought. NAN where nobody said what it should be. */
double measure_off(const struct measure *m);
bool measure_same(const struct measure *a, const struct measure *b);

#endif
