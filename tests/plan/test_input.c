#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "example.h"

static void an_unknown_tempo_is_asked_for(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.sets[0].play_s = NAN;
    x.sets[2].play_s = -1;
    must_refuse(&x.in, "set 1, 3: no tempo and no seconds");
    x.items[0].weight = 0;
    must_refuse(&x.in, "set 3: no tempo");
    x.items[2].weight = 0;
    const struct plan plan = must_plan(&x.in); /* sets nobody needs may stay unknown */
    assert_int_equal(plan.blocks[0].list[0].first_set, 1);
    assert_int_equal(plan.blocks[0].list[0].last_set, 1);
}

static void bad_figures_are_refused_with_a_reason(void **state)
{
    (void)state;
    struct example good, x;
    make_example(&good);
    const int nowhere = 9;
    const double no_share = 0;
#define REFUSE(change, says)                                                                       \
    do {                                                                                           \
        make_example(&x);                                                                          \
        change;                                                                                    \
        must_refuse(&x.in, says);                                                                  \
    } while (0)
    REFUSE(x.in.n_items = 0, "no open fixes");
    REFUSE(x.items[0].weight = x.items[1].weight = x.items[2].weight = 0, "no open fixes");
    REFUSE(x.in.rules.minutes = 0, "minutes of rehearsal: 0");
    REFUSE(x.in.rules.minutes = 721, "outside 1 to 720");
    REFUSE(x.in.rules.start_min = 1440, "start");
    REFUSE(x.in.rules.reset_s = -1, "reset");
    REFUSE(x.in.rules.most_reps = 0, "reps of a chunk");
    REFUSE(x.in.rules.least = 0, "minutes of a block: 0");
    REFUSE(x.in.rules.worth = -0.1, "worth of a minute: -0.1");
    REFUSE(x.in.rules.worth = NAN, "worth of a minute");
    REFUSE(x.in.rules.apart_worth = 1.1, "worth of sectionals: 1.1");
    REFUSE(x.in.rules.say = 0, "things said before a rep");
    REFUSE(x.in.rules.chunk_sets = 13, "sets in a chunk");
    REFUSE(x.in.rules.learn = 0, "learn p");
    REFUSE(x.in.rules.apart_learn = NAN, "learn p");
    REFUSE(x.items[1].learn = 1.5, "bell angle: learn p");
    REFUSE(x.items[1].weight = NAN, "bell angle: weight");
    REFUSE(x.items[1].weight = -1, "bell angle: weight");
    REFUSE(x.items[1].group = 7, "bell angle: it belongs to no section");
    REFUSE(x.items[1].sets = &nowhere, "bell angle: it names a set");
    REFUSE(x.items[1].n_sets = 0, "bell angle: no set is known");
    REFUSE(x.items[1].set_shares = &no_share, "shares of its sets are all 0");
    REFUSE(x.sets[0].play_s = INFINITY, "set 1: inf s");
    REFUSE(x.in.rules.breaks.work_most_s = 30, "breaks: 30 s of work");
    REFUSE((x.in.rules.breaks =
                (struct heat_breaks){
                    .work_most_s = 600, .break_s = 60, .longest_s = 120, .source = "hot"}),
           "longer than the 2 min");
#undef REFUSE
}

static void too_few_minutes_for_one_rep_say_what_one_takes(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 1;
    x.in.rules.reset_s = 45;
    must_refuse(&x.in, "set 1 takes 2 min");
    const struct plan_fixed warm_up = {"warm-up", PLAN_FIRST, 0, 3, false};
    make_example(&x);
    x.in.fixed = &warm_up;
    x.in.n_fixed = 1;
    must_refuse(&x.in, "no room for one block");
}

static void fixed_items_that_clash_are_named(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 30;
    x.in.fixed = (const struct plan_fixed[]){{"talk", PLAN_AT, 18 * 60 + 5, 10, false},
                                             {"warm-up", PLAN_FIRST, 0, 10, false}};
    x.in.n_fixed = 2;
    must_refuse(&x.in, "warm-up and talk overlap at 18:05");
    x.in.fixed = (const struct plan_fixed[]){{"run", PLAN_AT, 18 * 60 + 25, 10, false}};
    x.in.n_fixed = 1;
    must_refuse(&x.in, "run: at 18:25 for 10 min it does not fit");
    x.in.fixed = (const struct plan_fixed[]){{"early", PLAN_AT, 17 * 60, 10, false}};
    must_refuse(&x.in, "early: at 17:00 next day");
    x.in.fixed = (const struct plan_fixed[]){{"run", PLAN_LAST, 0, 40, false}};
    must_refuse(&x.in, "run: at ");
    x.in.fixed = (const struct plan_fixed[]){{"run", PLAN_LAST, 0, 0, false}};
    must_refuse(&x.in, "run: 0 min");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_unknown_tempo_is_asked_for),
        cmocka_unit_test(bad_figures_are_refused_with_a_reason),
        cmocka_unit_test(too_few_minutes_for_one_rep_say_what_one_takes),
        cmocka_unit_test(fixed_items_that_clash_are_named),
    };
    return cmocka_run_group_tests(tests, NULL, example_free);
}
