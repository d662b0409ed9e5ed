/* Changing a plan by hand. A change is a wish, kept in a list of the caller's that can be stored
 * and undone; the plan is always made anew from what came in and the wishes (plan_make), so the
 * rest of the time stays at its best around them, and plan->cost says what they cost.
 *
 * A spot is a chunk of a rep or sectional block; a break, a fixed item or a run is changed in the
 * rules. Every change also notes whether the plan had sectionals, so that it does not turn into the other kind by itself.
 * Functions return false with e set and leave the list as it was. */
#ifndef PLAN_EDIT_H
#define PLAN_EDIT_H

#include "plan/plan.h"

struct plan_wishes {
    struct plan_wish *at; /* heap; zero-initialise, plan_wishes_free() */
    size_t n, cap;
};

struct plan_spot {
    size_t block; /* position in plan->blocks */
    size_t work;  /* in the block's list */
};

void plan_wishes_free(struct plan_wishes *w);

/* Keeps the chunk as it is, whatever else changes. */
bool plan_edit_keep(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot,
                    struct err *e);
/* Keeps it with so many reps (lengthen, shorten): 1 to PLAN_REPS_MOST. */
bool plan_edit_reps(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot, int reps,
                    struct err *e);
/* Leaves its sets out; other sets get the time. */
bool plan_edit_drop(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot,
                    struct err *e);
/* Makes it number `to` (from 0) among the chunks of the same people, and keeps it. */
bool plan_edit_move(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot, int to,
                    struct err *e);
/* Takes back what was wished for the chunk: kept, moved. False when there was nothing. */
bool plan_edit_release(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot,
                       struct err *e);

/* Number of the chunk among the chunks of the same people, from 0, in playing order. */
int plan_edit_place(const struct plan *plan, struct plan_spot spot);

/* "gain 12.0, 0.3 more than before; your choices cost 1.5, with the minutes they take": what a plan
 * without them has more of, gain less price of its minutes. */
const char *plan_edit_report(const struct plan *after, double gain_before, struct arena *a);

#endif
