/* One rep after the other on the clock. Inner to the room. */
#ifndef PLAN_REPS_H
#define PLAN_REPS_H

#include "plan/line.h"
#include "plan/track.h"

/* Where the people of a line are. */
struct place {
    int t;   /* steps */
    int row; /* hard reps they have done in a row; 0 .. line.row_most */
};

/* A chunk on the clock. */
struct reps {
    const struct line_chunk *c;
    const int *lead, *ends; /* plan_track_ends() of its first and of its other reps */
    const int *past;        /* of the track */
    int row_most;
};
struct reps plan_reps(const struct line *line, const struct line_chunk *c, struct track *track);

/* Goes on by the next rep (from 0); *begins, if not NULL, is its first step. A window before it ends
 * the row, as any rep does that is not hard; a walked one is not. Where the row would be too long
 * they rest until the next window is over; only a chunk that a person keeps goes on. The clock is
 * steps + 1 when there is no room for it. */
void plan_next_rep(const struct reps *r, int rep, struct place *at, int *begins);

#endif
