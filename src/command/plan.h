#ifndef COMMAND_PLAN_H
#define COMMAND_PLAN_H

#include "app/plan.h"

enum { PLAN_UNDO = 32 };

/* The rep plan on the desk: what was asked for, what the person changed, what came out. */
struct desk_plan {
    int minutes, start_min;
    char date[11];
    struct arena memory;
    struct plan_report report;
    struct rep_plan kept; /* its rows in the show file, with the ticks */
    bool stored;          /* only what the show file keeps is known: ticks, but no changes */
    struct plan_wishes wishes;
    struct plan_wishes before[PLAN_UNDO]; /* the wishes before each change, newest last */
    size_t n_before;
    size_t line;
    double gain_before; /* of the plan before the last change */
};

#endif
