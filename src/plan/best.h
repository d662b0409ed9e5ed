/* The best choice of chunks and reps on one line, by dynamic programming over set and clock.
 * Exact for the order of the show. Inner to the room. Where chunks are hard on the body the state is
 * set, clock and hard reps in a row.
 *
 * Cost: chunks x steps x reps; 200 chunks, 2,160 steps (3 h), 12 reps: some 5 million look-ups. */
#ifndef PLAN_BEST_H
#define PLAN_BEST_H

#include "plan/line.h"
#include "plan/track.h"

struct best_choice {
    const struct line_chunk *chunk;
    int reps;
};

/* gain[t]: the most that can be gained from clock t to the horizon (steps, t = 0 .. horizon) by
 * people who come rested; what lies behind it is kept for plan_best_walk(). -INFINITY where kept
 * chunks do not fit. */
struct best {
    const struct line *line;
    struct track *track;
    int horizon;
    double **rows; /* rows[s][k * (horizon + 1) + t]: from set s on after k hard reps in a row; the
                    * first of rows[0] are gain[] */
};
void plan_best_solve(const struct line *line, struct track *track, int horizon, struct arena *a,
                     struct best *out);

/* The choices behind gain[from], in show order; room for one per set. Returns how many. */
size_t plan_best_walk(const struct best *b, int from, struct best_choice *out);

/* curve[t], t = 0 .. steps: the most that can be gained from the start until clock t. */
const double *plan_best_until(const struct line *line, struct track *track, struct arena *a);

#endif
