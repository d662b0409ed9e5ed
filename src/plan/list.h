/* The best list of one section's own in a sectional period, by dynamic programming over set and
 * clock at PLAN_STEP_S. Exact for the order of the show. Inner to the room.
 *
 * Cost: chunks x steps x reps; a list of 20 min and 200 chunks of 8 reps: 400,000 look-ups. */
#ifndef PLAN_LIST_H
#define PLAN_LIST_H

#include "plan/best.h"

/* curve[t], t = 0 .. steps: the most that can be gained in so many steps; -INFINITY where kept
 * chunks do not fit. */
struct list {
    const struct line *line;
    int steps;
    const double *curve;
    const double *rows; /* for plan_list_walk() */
};
void plan_list_solve(const struct line *line, int steps, struct arena *a, struct list *out);

/* The choices behind curve[steps], in show order; room for one per set. Returns how many. */
size_t plan_list_walk(const struct list *l, int steps, struct best_choice *out);

#endif
