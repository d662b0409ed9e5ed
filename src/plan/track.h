/* The rehearsal's clock in steps of PLAN_STEP_S: where breaks and fixed items stand, and when a rep
 * that begins now is over. Inner to the room.
 *
 * Fixed items first (FIRST ones from the start on, LAST ones up to the end, AT ones at their time).
 * Then breaks: no later than work_most_s after the last one ended. Where a fixed item stands across
 * that moment, the break goes right before it, or, when there is no room before, right after. A
 * break that nothing but the end would follow is cut short by the end. With a heat policy the
 * breaks are those of plan/rest.h instead. */
#ifndef PLAN_TRACK_H
#define PLAN_TRACK_H

#include "plan/plan.h"
#include "plan/rhythm.h"

struct track {
    int steps;                    /* length of the rehearsal */
    struct track_window *windows; /* by time, apart from each other */
    size_t n_windows;
    bool short_of_rest; /* the fixed items leave the heat policy's rest no room */
    int *free;          /* free[t]: steps from t to the next window or the end; t < steps */
    int *past;          /* past[t]: end of the first window that ends after t, steps + 1
                                   * when there is none; t <= steps + 1 */
    int **ends;         /* see plan_track_ends() */
    struct arena *arena;
};

bool plan_track_build(const struct plan_input *in, struct arena *a, struct track *out,
                      struct err *e);

/* A table: ends[t] is when an unbroken stretch of so many steps, begun at t or as soon after as no
 * window cuts it, is over; steps + 1 when there is no room for it. For t = 0 .. steps + 1. */
const int *plan_track_ends(struct track *t, int stretch);

#endif
