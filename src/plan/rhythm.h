/* Work and breaks in turn, in steps of PLAN_STEP_S. Inner to the room. */
#ifndef PLAN_RHYTHM_H
#define PLAN_RHYTHM_H

#include <stdbool.h>
#include <stddef.h>

struct track_window {
    int from, to; /* steps, half-open */
    int fixed;    /* position in the fixed items, -1 for a break */
    bool rest;    /* a break, or a fixed item that is rest */
};

/* Steps of so many seconds, rounded up. */
int plan_steps_up(int seconds);
/* A rhythm of work and breaks in steps, around the windows that are there (all fixed, by time):
 * adds its breaks to `windows` from position n on and returns how many there are then. A break is
 * at most cut by the end. Room: one for each stretch of work and one more. */
size_t plan_track_rhythm(int work, int pause, int steps, struct track_window *windows, size_t n);

#endif
