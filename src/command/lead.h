#ifndef COMMAND_LEAD_H
#define COMMAND_LEAD_H

#include "command/desk.h"

enum { LEAD_TRIES = 7 };

struct lead_trial {
    bool on;
    int n;
    double ms[LEAD_TRIES];
    bool shown;     /* the square has turned */
    int64_t due_us; /* when it will turn, or has turned; monotonic */
};

const struct lead_trial *lead_trial(const struct desk *d);
/* The square turns, or was missed. */
void lead_tick(struct desk *d, int64_t now_us);

#endif
