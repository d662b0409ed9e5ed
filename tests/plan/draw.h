/* Small random rehearsals for comparing the plan with other solvers. */
#ifndef TESTS_PLAN_DRAW_H
#define TESTS_PLAN_DRAW_H

#include <stdint.h>

#include "plan/plan.h"

enum { DRAW_SETS = 60, DRAW_ITEMS = 80, DRAW_GROUPS = 4, DRAW_FIXED = 3 };

struct draw {
    struct plan_input in; /* points into this struct: do not copy */
    struct plan_set sets[DRAW_SETS];
    struct plan_group groups[DRAW_GROUPS];
    struct plan_item items[DRAW_ITEMS];
    struct plan_fixed fixed[DRAW_FIXED];
    int item_sets[DRAW_ITEMS][3];
    double item_shares[DRAW_ITEMS][3];
};

struct draw_size {
    int sets, items, groups, fixed, minutes, chunk_sets, most_reps;
};

/* Fixed items are one minute long, in order, with free time between; no breaks. */
void draw_rehearsal(struct draw *d, uint32_t seed, const struct draw_size *size);

#endif
