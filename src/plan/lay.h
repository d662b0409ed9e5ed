/* From choices to blocks on the clock, and what every item gets out of it. Inner to the room. */
#ifndef PLAN_LAY_H
#define PLAN_LAY_H

#include "plan/solve.h"

struct laid {
    struct plan_block *blocks; /* by start, then everyone before groups; heap while it is laid */
    size_t n_blocks, cap;
    struct plan_outcome *outcomes;
    double gain;
    struct place end; /* of the last block or the sectional period */
    int spare_s;
    int lost_reps;        /* found no room after a person moved chunks */
    bool not_worst_first; /* the other order had no room */
};

/* What is laid, and from what. */
struct layer {
    const struct plan_input *in;
    const struct solution *sol;
    struct track *track;
    struct arena *a;
    struct laid *out;
};

void plan_lay(const struct plan_input *in, const struct solution *sol, struct track *track,
              struct arena *a, struct laid *out);

/* --- its parts -------------------------------------------------------------------------------- */

/* lay_block.c: a block of those minutes, with nothing in it. */
struct plan_block *plan_lay_block(struct layer *l, enum plan_kind kind, int from, int to);
/* The counts and tempos of the work's sets. */
void plan_lay_sets(const struct plan_input *in, struct plan_work *w);

/* lay_run.c: what lies behind the last block becomes a run of the show, in every stretch that is
 * long enough for a block and a set. */
void plan_lay_runs(struct layer *l);
/* lay_idle.c: what the sections do in the sectional period that have nothing to mend in it. */
void plan_lay_idle(struct layer *l);
/* lay_order.c: puts the choices of everyone in another order, most open first, as far as all still
 * find room. False when no such order was found: they stay. */
bool plan_lay_worst_first(struct layer *l, struct solved_line *s);

#endif
