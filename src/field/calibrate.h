/* A camera from rough picks and one picture: the picks say where the field is, its lines where
 * exactly. What a lens and a crown do enters only when the lines ask for it. */
#ifndef FIELD_CALIBRATE_H
#define FIELD_CALIBRATE_H

#include "field/lock.h"

struct calibrate_ask {
    const struct luma *picture;
    const struct grid *grid;
    const struct pick *picks; /* four spots at least; may be 15 px off */
    size_t n;
};

struct calibration {
    struct lock_fit fit;
    double sideline_width; /* inches; 0 where no sideline is seen */
    bool lens, crown;      /* k1 and the crown are free: each more than four of its standard
                              deviations from nothing, and enough to matter */
};

/* False with ERR_INPUT: picks that say nothing, or lines that do not agree with them. */
bool calibrate(const struct calibrate_ask *ask, struct calibration *out, struct err *e);

#endif
