#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "draw.h"
#include "example.h"

/* --- the example by hand --- */

static void joining_three_sets_gains_thirteen_and_a_half(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    const struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 1);
    const struct plan_block *b = &plan.blocks[0];
    assert_int_equal(b->kind, PLAN_REP);
    assert_int_equal(b->group, PLAN_EVERYONE);
    assert_int_equal(b->first_set, 0);
    assert_int_equal(b->last_set, 2);
    assert_int_equal(b->reps, 2);
    assert_int_equal(b->rep_s, 3 * 20 + 20);
    assert_int_equal(b->start_s, 0);
    assert_int_equal(b->seconds, 160);
    assert_int_equal(b->counts, 16 + 16 + 24);
    assert_true(b->bpm_low == 144 && b->bpm_high == 152);
    assert_int_equal(b->n_fixes, 3);
    assert_close(b->gain, (6 + 4 + 8) * 0.75);
    assert_close(plan.gain, 13.5);
    assert_close(plan.weight, 18);
    assert_int_equal(plan.spare_s, 20);
}

static void without_joining_four_reps_gain_eleven(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.chunk_sets = 1;
    const struct plan plan = must_plan(&x.in);
    assert_close(plan.gain, 4.0 + 3.0 + 2.0 + 2.0);
    int reps = 0;
    for (size_t i = 0; i < plan.n_blocks; i++)
        reps += plan.blocks[i].reps;
    assert_int_equal(reps, 4);
    for (size_t i = 1; i < plan.n_blocks; i++)
        assert_true(plan.blocks[i].first_set > plan.blocks[i - 1].first_set);
}

static void joining_two_sets_gains_twelve(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.chunk_sets = 2;
    assert_close(must_plan(&x.in).gain, 12.0);
}

static void a_set_that_opens_a_part_is_not_joined_to_the_one_before(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.sets[1].opens = true;
    /* left: 1 alone, 2-3 joined; 2-3 twice and 1 once */
    assert_close(must_plan(&x.in).gain, 12 * 0.75 + 6 * 0.5);
}

static void set_up_time_is_taken_once_for_a_chunk(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.setup_s = 20;
    const struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.blocks[0].seconds, 20 + 2 * 80);
    assert_close(plan.gain, 13.5);
    x.in.rules.setup_s = 25; /* five seconds too much for two reps of 1-3: 2-3 twice, 45 + ... */
    assert_true(must_plan(&x.in).gain < 13.5);
}

/* By hand, one set with three items of weight 6, p 0.5, three minutes of 40 s: four reps. Three
 * things said: 18 (1 - 0.5^4); two: q = 1/3, 18 (1 - (2/3)^4); one: q = 1/6, 18 (1 - (5/6)^4). */
static void a_rep_mends_what_was_said_before_it(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    for (int i = 0; i < 3; i++) {
        x.items[i].sets = x.items[0].sets;
        x.items[i].weight = 6;
    }
    assert_close(must_plan(&x.in).gain, 18 * (1 - 0.0625));
    x.in.rules.say = 2;
    struct plan plan = must_plan(&x.in);
    assert_close(plan.gain, 18 * (1 - 16 / 81.0));
    assert_close(plan.outcomes[1].gain, 6 * (1 - 16 / 81.0));
    x.in.rules.say = 1;
    assert_close(must_plan(&x.in).gain, 18 * (1 - 625 / 1296.0));
    /* one item on two sets is said once: joined, 60 s, three reps of 1-2 */
    const int sets[2] = {0, 1};
    make_example(&x);
    x.items[0] = (struct plan_item){
        .name = "late", .group = PLAN_EVERYONE, .weight = 8, .sets = sets, .n_sets = 2};
    x.in.n_items = 1;
    x.in.rules.say = 1;
    assert_close(must_plan(&x.in).gain, 8 * (1 - 0.125));
}

/* plan.h: with two things said, 2-3 twice and 1 once, or 1-2 once and 3 three times. */
static void joining_three_sets_with_three_faults_pays_less_when_two_are_said(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.say = 2;
    assert_close(must_plan(&x.in).gain, 12);
}

static void an_item_s_own_p_and_shares_count(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    const int sets[2] = {0, 2};
    const double shares[2] = {3, 1};
    x.items[0] = (struct plan_item){.name = "spread",
                                    .group = 0,
                                    .weight = 8,
                                    .sets = sets,
                                    .set_shares = shares,
                                    .n_sets = 2,
                                    .learn = 0.25};
    x.in.n_items = 1;
    x.in.rules.minutes = 1;
    /* one rep: set 1 alone 6 x 0.25; joined 1-3 takes 80 s and does not fit into a minute */
    assert_close(must_plan(&x.in).gain, 6 * 0.25);
    x.in.rules.minutes = 2;
    /* three reps of set 1 (120 s): 6 (1 - 0.75^3) = 3.47; 1-3 once: 2.0; 1 twice and 3 once: 3.125
     */
    assert_close(must_plan(&x.in).gain, 6 * (1 - 0.75 * 0.75 * 0.75));
}

/* Half tempo takes the playing time twice: a set of 20 s with 20 s of reset is 40 s run and 60 s
 * walked. By hand, three minutes, weights 6, 4, 8, p 0.5: 1-3 joined is 140 s walked and 80 s run,
 * so one rep of it fits (9.0); best is 1 once, 2 walked once, 3 twice: 40 + 60 + 80 s, 3 + 2 + 6
 * = 11. */
static void a_set_that_is_walked_first_takes_its_time(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.sets[1].walk = "T1 and M4 come within 3 in of each other near count 5";
    struct plan plan = must_plan(&x.in);
    assert_close(plan.gain, 11);
    assert_int_equal(plan.n_blocks, 3);
    assert_int_equal(plan.blocks[0].walk_s + plan.blocks[2].walk_s, 0);
    assert_int_equal(plan.blocks[1].walk_s, 60);
    assert_int_equal(plan.blocks[1].seconds, 60);
    x.in.rules.minutes = 1; /* no room for 2 beside another: 3 alone, 4.0 */
    plan = must_plan(&x.in);
    assert_close(plan.gain, 4);
    assert_true(has_caution(&plan, "not planned, but to be walked before any run-through"));
    x.in.rules.minutes = 3;
    x.in.n_items = 2; /* sets 1 and 2 are open; 2 alone: 60 s walked, then 40 s */
    x.items[0].weight = 0;
    x.in.rules.setup_s = 10;
    plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 1);
    const struct plan_block *b = &plan.blocks[0];
    assert_int_equal(b->walk_s, 60);
    assert_int_equal(b->rep_s, 40);
    assert_int_equal(b->reps, 3);
    assert_int_equal(b->seconds, 10 + 60 + 2 * 40);
    assert_string_equal(b->name, PLAN_WALK_FIRST);
    assert_true(has_caution(&plan, "set 2: T1 and M4 come within 3 in of each other near count 5; "
                                   "walk it before it is run"));
}

/* The part of a chunk behind a break goes on at full tempo. */
static void only_the_first_rep_of_a_chunk_is_walked(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 8;
    x.in.rules.most_reps = 5;
    x.in.n_items = 1;
    x.sets[0].walk = "somebody is near somebody";
    x.in.rules.breaks = (struct heat_breaks){.work_most_s = 120, .break_s = 60, .source = "test"};
    const struct plan plan = must_plan(&x.in);
    int walked = 0, reps = 0;
    for (size_t i = 0; i < plan.n_blocks; i++) {
        walked += plan.blocks[i].walk_s > 0;
        reps += plan.blocks[i].reps;
    }
    assert_int_equal(walked, 1);
    assert_int_equal(plan.blocks[0].walk_s, 60);
    assert_int_equal(reps, 5);
}

/* --- who is there --- */

static void sections_apart_work_at_the_same_time(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.groups[0].apart = x.groups[1].apart = true;
    x.in.rules.chunk_sets = 1;
    x.in.rules.apart_reset_s = 20;
    x.in.rules.apart_learn = 0.5;
    x.in.rules.gather_s = 20;
    /* apart 80 s, twice each: 4.5 + 3, gather 20 s, then set 3 twice in 80 s: 8 x 0.75 */
    const struct plan plan = must_plan(&x.in);
    assert_true(plan.apart);
    assert_close(plan.gain, 4.5 + 3 + 6);
    assert_int_equal(plan.apart_to_s, 80);
    assert_int_equal(plan.n_blocks, 3);
    assert_int_equal(plan.blocks[0].kind, PLAN_SECTIONAL);
    assert_int_equal(plan.blocks[0].group, 0);
    assert_int_equal(plan.blocks[1].kind, PLAN_SECTIONAL);
    assert_int_equal(plan.blocks[1].group, 1);
    assert_int_equal(plan.blocks[1].start_s, plan.blocks[0].start_s);
    assert_int_equal(plan.blocks[2].kind, PLAN_REP);
    assert_int_equal(plan.blocks[2].start_s, 100);
    assert_int_equal(plan.spare_s, 0);
}

/* Four minutes have room for more than the two reps a chunk may have: what is left is everyone's. */
static void sections_work_apart_no_longer_than_they_gain(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.groups[0].apart = x.groups[1].apart = true;
    x.in.rules.chunk_sets = 1;
    x.in.rules.most_reps = 2;
    x.in.rules.minutes = 4;
    x.in.rules.apart_reset_s = 20;
    x.in.rules.apart_learn = 0.5;
    x.in.rules.gather_s = 20;
    const struct plan_wish apart = {.kind = PLAN_APART, .group = PLAN_EVERYONE};
    x.in.wishes = &apart;
    x.in.n_wishes = 1;
    const struct plan plan = must_plan(&x.in);
    assert_close(plan.gain, 4.5 + 3 + 6);
    assert_int_equal(plan.apart_to_s, 80);
}

static void a_fix_that_needs_the_others_is_never_worked_apart(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.groups[0].apart = x.groups[1].apart = true;
    x.items[0].needs_all = x.items[1].needs_all = true;
    const struct plan plan = must_plan(&x.in);
    assert_false(plan.apart);
    for (size_t i = 0; i < plan.n_blocks; i++)
        assert_int_equal(plan.blocks[i].kind, PLAN_REP);
}

static void items_of_an_absent_section_are_left_with_the_reason(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.groups[1].attends = false;
    const struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.outcomes[1].left, PLAN_LEFT_ABSENT);
    assert_string_equal(plan_left_text(plan.outcomes[1].left), "nobody of this section attends");
    assert_true(plan.outcomes[1].gain == 0);
    assert_close(plan.weight, 14);
    assert_true(has_caution(&plan, "tubas: nobody attends"));
    for (size_t i = 0; i < plan.n_blocks; i++)
        for (size_t k = 0; k < plan.blocks[i].n_fixes; k++)
            assert_int_not_equal(plan.blocks[i].fixes[k], 1);
}

static void nobody_there_leaves_everything_without_a_crash(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.groups[0].attends = x.groups[1].attends = false;
    x.in.n_items = 2;
    const struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 0);
    assert_true(plan.gain == 0 && plan.spare_s == 180);
}

static void what_found_no_time_says_so(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 1;
    const struct plan plan = must_plan(&x.in); /* 2-3 joined, once: 60 s, 12 x 0.5 */
    assert_int_equal(plan.outcomes[2].left, PLAN_WORKED);
    assert_int_equal(plan.outcomes[2].reps, 1);
    assert_close(plan.outcomes[1].gain, 4 * 0.5);
    assert_int_equal(plan.outcomes[0].left, PLAN_LEFT_TIME);
    assert_true(plan.outcomes[0].gain == 0);
    x.items[1].weight = 0;
    assert_int_equal(must_plan(&x.in).outcomes[1].left, PLAN_LEFT_CLOSED);
}

/* --- every plan --- */

static bool share_people(const struct plan_block *a, const struct plan_block *b)
{
    const bool apart = a->kind == PLAN_SECTIONAL && b->kind == PLAN_SECTIONAL;
    return !apart || a->group == b->group;
}

static void check_plan(const struct plan *plan)
{
    double gain = 0, outcome = 0;
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        assert_true(b->start_s >= 0 && b->seconds > 0);
        assert_true(b->start_s + b->seconds <= plan->seconds);
        assert_true(i == 0 || plan->blocks[i - 1].start_s <= b->start_s);
        for (size_t j = 0; j < i; j++) {
            const struct plan_block *c = &plan->blocks[j];
            assert_true(!share_people(b, c) || c->start_s + c->seconds <= b->start_s);
        }
        gain += b->gain;
    }
    for (size_t i = 0; i < plan->n_items; i++)
        outcome += plan->outcomes[i].gain;
    assert_close(gain, plan->gain);
    assert_close(outcome, plan->gain);
    assert_close(plan->best_gain, plan->gain);
    assert_true(plan->gain <= plan->weight);
}

static void blocks_never_overlap_and_gains_add_up(void **state)
{
    (void)state;
    for (uint32_t seed = 1; seed <= 40; seed++) {
        struct draw d;
        const struct draw_size size = {.sets = 12,
                                       .items = 15,
                                       .groups = 3,
                                       .fixed = (int)seed % 3,
                                       .minutes = 20 + (int)seed,
                                       .chunk_sets = 3,
                                       .most_reps = 8};
        draw_rehearsal(&d, seed, &size);
        d.in.rules.breaks = (struct heat_breaks){
            .work_most_s = 60 * (5 + (int)seed % 9), .break_s = 120, .source = "test"};
        const struct plan plan = must_plan(&d.in);
        check_plan(&plan);
    }
}

static void more_minutes_never_gain_less(void **state)
{
    (void)state;
    struct draw d;
    const struct draw_size size = {
        .sets = 8, .items = 10, .groups = 2, .minutes = 5, .chunk_sets = 3, .most_reps = 5};
    draw_rehearsal(&d, 77, &size);
    double before = 0;
    for (int minutes = 5; minutes <= 40; minutes++) {
        d.in.rules.minutes = minutes;
        const double gain = must_plan(&d.in).gain;
        assert_true(gain >= before - 1e-9);
        before = gain;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(joining_three_sets_gains_thirteen_and_a_half),
        cmocka_unit_test(without_joining_four_reps_gain_eleven),
        cmocka_unit_test(joining_two_sets_gains_twelve),
        cmocka_unit_test(a_set_that_opens_a_part_is_not_joined_to_the_one_before),
        cmocka_unit_test(set_up_time_is_taken_once_for_a_chunk),
        cmocka_unit_test(a_rep_mends_what_was_said_before_it),
        cmocka_unit_test(joining_three_sets_with_three_faults_pays_less_when_two_are_said),
        cmocka_unit_test(an_item_s_own_p_and_shares_count),
        cmocka_unit_test(a_set_that_is_walked_first_takes_its_time),
        cmocka_unit_test(only_the_first_rep_of_a_chunk_is_walked),
        cmocka_unit_test(sections_apart_work_at_the_same_time),
        cmocka_unit_test(sections_work_apart_no_longer_than_they_gain),
        cmocka_unit_test(a_fix_that_needs_the_others_is_never_worked_apart),
        cmocka_unit_test(items_of_an_absent_section_are_left_with_the_reason),
        cmocka_unit_test(nobody_there_leaves_everything_without_a_crash),
        cmocka_unit_test(what_found_no_time_says_so),
        cmocka_unit_test(blocks_never_overlap_and_gains_add_up),
        cmocka_unit_test(more_minutes_never_gain_less),
    };
    return cmocka_run_group_tests(tests, NULL, example_free);
}
