/* The rehearsal that plan/plan.h works out by hand, and what tests ask of plans. */
#ifndef TESTS_PLAN_EXAMPLE_H
#define TESTS_PLAN_EXAMPLE_H

#include "plan/plan.h"

/* Three sets of 20 s, reset 20 s, p = 0.5, weights 6, 4, 8, three minutes, no breaks. Tests change
 * the parts. */
struct example {
    struct plan_input in; /* points into this struct: do not copy */
    struct plan_set sets[3];
    struct plan_group groups[2];
    struct plan_item items[3];
};

void make_example(struct example *x);

/* Plans live until example_free(), a cmocka teardown. */
struct plan must_plan(const struct plan_input *in);
void must_refuse(const struct plan_input *in, const char *says);
bool has_caution(const struct plan *plan, const char *says);
void assert_close(double got, double want);
int example_free(void **state);

#endif
