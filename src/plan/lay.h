/* From choices to blocks on the clock, and what every item gets out of it. Inner to the room. */
#ifndef PLAN_LAY_H
#define PLAN_LAY_H

#include "plan/solve.h"

struct laid {
    struct plan_block *blocks; /* by start, then everyone before groups */
    size_t n_blocks;
    struct plan_outcome *outcomes;
    double gain;
    int spare_s;
    int lost_reps; /* found no room after a person moved chunks */
};

void plan_lay(const struct plan_input *in, const struct solution *sol, struct track *track,
              struct arena *a, struct laid *out);

#endif
