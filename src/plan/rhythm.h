/* Work and breaks in turn, in minutes. Inner to the room. */
#ifndef PLAN_RHYTHM_H
#define PLAN_RHYTHM_H

#include <stdbool.h>
#include <stddef.h>

struct track_window {
    int from, to; /* minutes, half-open */
    int fixed;    /* position in the fixed items, -1 for a break */
    bool rest;    /* a break, or a fixed item that is rest */
};

/* Minutes of so many seconds, rounded up. */
int plan_minutes_up(int seconds);
/* A rhythm of work and breaks, around the windows that are there (all fixed, by time):
 * adds its breaks to `windows` from position n on and returns how many there are then. A break is
 * at most cut by the end. Room: one for each stretch of work and one more. */
size_t plan_track_rhythm(int work, int pause, int minutes, struct track_window *windows, size_t n);

#endif
