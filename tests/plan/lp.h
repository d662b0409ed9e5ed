/* The same question put to GLPK as an integer program, written down from the model in plan/plan.h
 * and sharing no code with the plan:
 *   y(chunk, r, bin) = 1: everyone's block of r reps stands in that stretch between fixed items
 *   y(group, chunk, r) = 1: it is in that group's own list
 *   maximise   sum gain y - worth x sum spent(bin)
 *   each set of a line in at most one chosen chunk; each bin holds the minutes of its blocks;
 *   a later chunk stands in no earlier bin than a chunk before it;
 *   spent(bin) >= its minutes, and all of it when a later bin is used
 *   every group: set-ups and reps <= the period less what it takes to gather
 * The length of the sectional period is tried minute by minute. */
#ifndef TESTS_PLAN_LP_H
#define TESTS_PLAN_LP_H

#include "plan/plan.h"

struct lp_best {
    double value; /* gain less price */
    int programs; /* that were solved */
};

/* The best of a plan all together, or with a sectional period (-INFINITY where none fits). No
 * wishes, no breaks, no hard moves; fixed items stand at their times in order. */
struct lp_best lp_together(const struct plan_input *in);
struct lp_best lp_apart(const struct plan_input *in);

#endif
