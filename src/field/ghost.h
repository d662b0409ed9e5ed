/* Where everybody should be at a count, on the way from dot to dot: straight and in equal steps, or
 * as the set's path says (show/path.h): held at first, halted before the end, behind a leader. */
#ifndef FIELD_GHOST_H
#define FIELD_GHOST_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "field/way.h"
#include "show/path.h"
#include "show/show.h"

/* A show's dots by performer and set, and the ways between them. */
struct ghosts {
    const struct show *show;
    const struct dot **at;    /* [performer * n_sets + set]; NULL: no dot */
    const struct way **ways;  /* the same to that set; NULL: straight */
    const struct path *paths; /* by set; a path that cannot be read is straight */
};

/* 1 is the beginning of the set's move, counts + 1 its end. */
struct set_count {
    int set; /* position */
    double count;
};

/* The show's dots must stay as long as it is used. In a file that follows, those who lack a dot at
 * either end go as everybody else does; the first of the others leads. */
struct ghosts ghosts_of(const struct show *show, struct arena *a);
/* At the end of a set's move everybody stays. False where the performer has no dot to come from or to
 * go to; of the first set only its end is known. */
bool ghost_at(const struct ghosts *g, int performer, struct set_count when, struct dot_place *out);

/* A performer's dot at a set; false when there is none. */
bool ghost_dot(const struct ghosts *g, int performer, int set, struct dot_place *out);

/* Where the performer should be then; who has no dot to come from (that of the first set, or of one who
 * comes in) stands on the one to go to all the while. False without that. */
bool ghost_stands(const struct ghosts *g, int performer, struct set_count when,
                  struct dot_place *out);

/* What a move asks of a performer. */
struct ghost_pace {
    double steps; /* grid steps of the way */
    double
        inches; /* what feet walk of it; steps in depth may be longer than across (show/grid.h) */
    double counts; /* to walk it in: the set's, without its hold and halt */
    bool follows;  /* the way is not straight */
};
/* False where the way to that set is not known, or the set has no counts. */
bool ghost_pace(const struct ghosts *g, int performer, int set, struct ghost_pace *out);
/* "8-to-5" of a way: how many such steps lead over five yards (180 in); 0 for one who stays. */
double pace_to_five(const struct ghost_pace *p);

#endif
