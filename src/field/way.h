/* The way of one performer from dot to dot: straight, or behind a leader.
 *
 * Follow the leader, which is a convention of the trade and has no published formula: everybody in
 * the file walks the file's trail, which is the places where they stand at the beginning, from the
 * last to the leader, and on from there straight to the leader's dot. Each leaves it at the place
 * nearest to their own dot (of places equally near, the one that the leader's length of way leads
 * to) and walks straight to it; a dot that lies on the trail is walked to along the trail alone.
 * Everybody's steps are equal along their own way, so all arrive with the last count. */
#ifndef FIELD_WAY_H
#define FIELD_WAY_H

#include <stddef.h>

#include "base/arena.h"

/* Grid steps. */
struct dot_place {
    double x, y;
};

/* The trail of a file. */
struct trail {
    struct dot_place *at; /* where they stand, the last first, then the leader's dot */
    double *along;        /* steps from the first of these places */
    size_t n;             /* people + 1 */
};

/* A way: along the trail from one place of it to another, then straight. */
struct way {
    const struct trail *trail;
    double from, leaves; /* steps along the trail */
    struct dot_place to;
};

/* A file: where each stands and whither, the leader first; 1 or more. */
struct file_walk {
    const struct dot_place *from, *to;
    size_t n;
};
/* The ways of all, in their order; they and the trail are the arena's. */
struct way *ways_of(struct arena *a, const struct file_walk *file);

/* Where it is after a part of the way, 0..1. */
struct dot_place way_at(const struct way *w, double part);
/* Grid steps. */
double way_length(const struct way *w);

#endif
