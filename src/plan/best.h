/* The best choice of chunks and reps on one line, by dynamic programming over set and clock.
 * Exact for the order of the show. Inner to the room.
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

/* gain[t]: the most that can be gained from clock t to the horizon (steps, t = 0 .. horizon); what
 * lies behind it is kept for plan_best_walk(). -INFINITY where kept chunks do not fit. */
struct best {
    const struct line *line;
    struct track *track;
    int horizon;
    double **rows; /* rows[s][t]: from set s on; rows[0] is gain[] */
};
void plan_best_solve(const struct line *line, struct track *track, int horizon, struct arena *a,
                     struct best *out);

/* The choices behind gain[from], in show order; room for one per set. Returns how many. */
size_t plan_best_walk(const struct best *b, int from, struct best_choice *out);

/* curve[t], t = 0 .. steps: the most that can be gained from the start until clock t. */
const double *plan_best_until(const struct line *line, struct track *track, struct arena *a);

#endif
