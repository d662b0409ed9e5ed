#include "example.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

static struct arena arena;

int example_free(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static const int set_0 = 0, set_1 = 1, set_2 = 2;

void make_example(struct example *x)
{
    *x = (struct example){
        .sets = {{.label = "1", .counts = 16, .play_s = 20, .bpm_from = 144, .bpm_to = 144},
                 {.label = "2", .counts = 16, .play_s = 20, .bpm_from = 144, .bpm_to = 152},
                 {.label = "3", .counts = 24, .play_s = 20, .bpm_from = 152, .bpm_to = 152}},
        .groups = {{.name = "trumpets", .attends = true, .there = true, .up = -1},
                   {.name = "tubas", .attends = true, .there = true, .up = -1}},
        .items = {{.name = "late to form", .group = 0, .weight = 6, .sets = &set_0, .n_sets = 1},
                  {.name = "bell angle", .group = 1, .weight = 4, .sets = &set_1, .n_sets = 1},
                  {.name = "interval",
                   .group = PLAN_EVERYONE,
                   .weight = 8,
                   .sets = &set_2,
                   .n_sets = 1}},
    };
    x->in = (struct plan_input){.rules = plan_rules_default(),
                                .sets = x->sets,
                                .groups = x->groups,
                                .items = x->items,
                                .n_sets = 3,
                                .n_groups = 2,
                                .n_items = 3};
    x->in.rules.minutes = 3;
    x->in.rules.learn = 0.5;
    x->in.rules.reset_s = 20;
    x->in.rules.apart_reset_s = 15;
    x->in.rules.setup_s = 0;
    x->in.rules.say = 3;
    x->in.rules.least = 1;
    x->in.rules.worth = 0;
    x->in.rules.apart_worth = 1;
    x->in.rules.no_run = true;
    x->in.rules.breaks = (struct heat_breaks){0};
}

struct plan must_plan(const struct plan_input *in)
{
    struct plan plan;
    struct err e = {0};
    if (!plan_make(in, &arena, &plan, &e))
        fail_msg("%s", e.text);
    return plan;
}

void must_refuse(const struct plan_input *in, const char *says)
{
    struct plan plan;
    struct err e = {0};
    assert_false(plan_make(in, &arena, &plan, &e));
    assert_int_equal(e.code, ERR_INPUT);
    if (!strstr(e.text, says))
        fail_msg("'%s' lacks '%s'", e.text, says);
}

bool has_caution(const struct plan *plan, const char *says)
{
    for (size_t i = 0; i < plan->n_cautions; i++)
        if (strstr(plan->cautions[i], says))
            return true;
    return false;
}

void assert_close(double got, double want)
{
    if (!(fabs(got - want) < 1e-9))
        fail_msg("got %.12g, want %.12g", got, want);
}
