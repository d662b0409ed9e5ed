#ifndef COMMAND_LEAD_H
#define COMMAND_LEAD_H

#include <stdbool.h>
#include <stdint.h>

enum { LEAD_TRIES = 7, TAP_TRIES = 16 };

struct lead_trial {
    bool steady; /* a steady flash to tap along with, instead of one nobody can guess */
    int n;
    double ms[LEAD_TRIES];
    int64_t taps_us[TAP_TRIES]; /* monotonic */
    int64_t first_us;           /* steady: of the first flash */
    bool shown;                 /* the square has turned */
    int64_t due_us;             /* when it will turn, or has turned; monotonic */
};

#endif
