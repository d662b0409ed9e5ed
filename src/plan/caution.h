/* What a careful colleague would say about a plan. Figures are common practice without a source;
 * the reminder who decides always comes last. Inner to the room. */
#ifndef PLAN_CAUTION_H
#define PLAN_CAUTION_H

#include "plan/lay.h"

enum {
    CAUTION_STRETCH_S = 45 * 60, /* work without a rest; common practice, no source */
    CAUTION_HARD_REPS = 6,       /* more hard reps than this in a row; common practice, no source */
    CAUTION_STEP_IN = 36,        /* 5-to-5: a large step; common practice, no source */
    CAUTION_BACKWARD_BPM = 160,  /* a fast backward move; common practice, no source */
};

/* Is the move hard on the body: a large step, or backward and fast? False where it is not known. */
bool plan_caution_hard(const struct plan_set *set);

/* Fills the plan's cautions from its blocks. */
void plan_caution(const struct plan_input *in, const struct laid *laid, struct arena *a,
                  struct plan *plan);

#endif
