#ifndef COMMAND_LEAD_H
#define COMMAND_LEAD_H

#include "command/desk.h"

enum { LEAD_TRIES = 7, TAP_TRIES = 16 };

struct lead_trial {
    bool on;
    bool steady; /* a steady flash to tap along with, instead of one nobody can guess */
    int n;
    double ms[LEAD_TRIES];
    int64_t taps_us[TAP_TRIES]; /* monotonic */
    int64_t first_us;           /* steady: of the first flash */
    bool shown;                 /* the square has turned */
    int64_t due_us;             /* when it will turn, or has turned; monotonic */
};

const struct lead_trial *lead_trial(const struct desk *d);
/* The square turns, flashes, or was missed. */
void lead_tick(struct desk *d, int64_t now_us);

#endif
