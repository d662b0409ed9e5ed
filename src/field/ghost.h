/* Where everybody should be at a count: on the way from dot to dot, straight and in equal steps. */
#ifndef FIELD_GHOST_H
#define FIELD_GHOST_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "show/show.h"

/* A show's dots by performer and set. */
struct ghosts {
    const struct show *show;
    const struct dot **at; /* [performer * n_sets + set]; NULL: no dot */
};

/* 1 is the beginning of the set's move, counts + 1 its end. */
struct set_count {
    int set; /* position */
    double count;
};

/* Grid steps. */
struct dot_place {
    double x, y;
};

/* The show's dots must stay as long as it is used. */
struct ghosts ghosts_of(const struct show *show, struct arena *a);
/* At the end of a set's move everybody stays. False where the performer has no dot to come from or to
 * go to; of the first set only its end is known. */
bool ghost_at(const struct ghosts *g, int performer, struct set_count when, struct dot_place *out);

#endif
