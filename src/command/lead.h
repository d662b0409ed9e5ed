#ifndef COMMAND_LEAD_H
#define COMMAND_LEAD_H

#include <stdbool.h>
#include <stdint.h>

enum { LEAD_TRIES = 7 };

struct lead_trial {
    int n;
    double ms[LEAD_TRIES];
    bool shown;     /* the square has turned */
    int64_t due_us; /* when it will turn, or has turned; monotonic */
};

#endif
