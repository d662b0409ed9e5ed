/* All together, or sectionals first? Both are solved exactly and the better one is taken, with the
 * best length of the sectional period. Inner to the room. */
#ifndef PLAN_SOLVE_H
#define PLAN_SOLVE_H

#include "plan/best.h"

struct solved_line {
    struct line line;
    struct best_choice *choices; /* in show order */
    size_t n_choices;
};

struct solution {
    bool apart;
    int apart_from, apart_to; /* minutes: the sectional period */
    struct place begin;       /* of everyone's blocks */
    int list_steps;           /* of it, for a section's own list */
    double value;             /* gain less price */
    struct solved_line
        *lines; /* everyone first, then the groups that have something to work apart */
    size_t n_lines;
};

/* False with e set when there is no room for one block of anything beside breaks and fixed items. */
bool plan_solve_room(const struct plan_input *in, struct track *track, struct arena *a,
                     struct err *e);

/* False with e set when no rep fits or the kept chunks do not. */
bool plan_solve(const struct plan_input *in, struct track *track, struct arena *a,
                struct solution *out, struct err *e);

#endif
