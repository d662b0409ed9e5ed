/* A camera checked without knowing the truth: against lines that were not used. */
#ifndef FIELD_LEFT_OUT_H
#define FIELD_LEFT_OUT_H

#include "field/lock.h"

struct left_out {
    double steps; /* by which the lines that were left out were missed, root of the mean square */
    int lines;    /* that were left out, one after the other */
};

/* Locks the camera anew without each of the yard lines that the picture shows, and looks how far off
 * that line then is. `ask` as for the lock, whose fit `camera` is; lines that show few pieces are
 * passed over. lines 0: none could be. */
struct left_out left_out_check(const struct lock_ask *ask, const struct camera *camera);

#endif
