/* The same question put to GLPK as an integer program, written down from the model in plan/plan.h
 * and sharing no code with the plan:
 *   maximise   sum gain(line, chunk, r) y(line, chunk, r)
 *   each set of a line in at most one chosen chunk
 *   everyone:  setup, reps and gather + L <= minutes, L >= 5 s;  every group: setup and reps <= L
 * With fixed items (and no sectionals) the free time falls into bins:
 *   reps of a chunk = sum of its reps in the bins; each bin holds what goes into it;
 *   a later chunk has no rep in an earlier bin than a chunk before it. */
#ifndef TESTS_PLAN_LP_H
#define TESTS_PLAN_LP_H

#include "plan/plan.h"

/* The best gain of a plan all together, or with sectionals first. No wishes, no breaks. */
double lp_together(const struct plan_input *in);
double lp_apart(const struct plan_input *in);

#endif
