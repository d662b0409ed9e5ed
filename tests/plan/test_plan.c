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
    assert_int_equal(b->n_list, 1);
    const struct plan_work *w = &b->list[0];
    assert_int_equal(w->first_set, 0);
    assert_int_equal(w->last_set, 2);
    assert_int_equal(w->reps, 2);
    assert_int_equal(b->reps, 2);
    assert_int_equal(w->rep_s, 3 * 20 + 20);
    assert_int_equal(b->start_s, 0);
    assert_int_equal(w->seconds, 160);
    assert_int_equal(b->seconds, 180); /* whole minutes */
    assert_int_equal(w->counts, 16 + 16 + 24);
    assert_true(w->bpm_low == 144 && w->bpm_high == 152);
    assert_int_equal(b->n_fixes, 3);
    assert_int_equal(b->fixes[0], 2); /* what weighs most first */
    assert_int_equal(b->fixes[2], 1);
    assert_close(b->gain, (6 + 4 + 8) * 0.75);
    assert_close(plan.gain, 13.5);
    assert_close(plan.weight, 18);
    assert_int_equal(plan.spare_s, 0);
}

static void without_joining_four_reps_gain_ten(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.chunk_sets = 1;
    const struct plan plan = must_plan(&x.in);
    assert_close(plan.gain, 8 * 0.875 + 6 * 0.5);
    int reps = 0;
    for (size_t i = 0; i < plan.n_blocks; i++)
        reps += plan.blocks[i].reps;
    assert_int_equal(reps, 4);
    for (size_t i = 1; i < plan.n_blocks; i++)
        assert_true(plan.blocks[i].list[0].first_set > plan.blocks[i - 1].list[0].first_set);
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
    assert_int_equal(plan.blocks[0].list[0].seconds, 20 + 2 * 80);
    assert_int_equal(plan.blocks[0].list[0].setup_s, 20);
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
 * walked. By hand, three minutes, weights 6, 40, 8, p 0.5: 2 alone is 60 s walked and 40 s run, four
 * reps in 180 s: 37.5. 2-3 joined is 100 s and 60 s, two reps: 36. */
static void a_set_that_is_walked_first_takes_its_time(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.items[1].weight = 40;
    x.sets[1].walk = "T1 and M4 come within 3 in of each other near count 5";
    struct plan plan = must_plan(&x.in);
    assert_close(plan.gain, 40 * (1 - 1 / 16.0));
    assert_int_equal(plan.n_blocks, 1);
    assert_int_equal(plan.blocks[0].list[0].walk_s, 60);
    assert_int_equal(plan.blocks[0].seconds, 180);
    x.items[1].weight = 4;
    x.in.rules.minutes = 1; /* 3 alone, 4.0 */
    plan = must_plan(&x.in);
    assert_close(plan.gain, 4);
    assert_true(has_caution(&plan, "not planned, but to be walked before any run-through"));
    x.in.rules.minutes = 3;
    x.in.n_items = 2; /* sets 1 and 2 are open; 2 alone: 60 s walked, then 40 s */
    x.items[0].weight = 0;
    x.in.rules.setup_s = 10;
    plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 1);
    const struct plan_work *w = &plan.blocks[0].list[0];
    assert_int_equal(w->walk_s, 60);
    assert_int_equal(w->rep_s, 40);
    assert_int_equal(w->reps, 3);
    assert_int_equal(w->seconds, 10 + 60 + 2 * 40);
    assert_true(has_caution(&plan, "set 2: T1 and M4 come within 3 in of each other near count 5; "
                                   "walk it before it is run"));
}

/* --- what a minute is worth --- */

/* By hand: one item of weight 6, p 0.5, 40 s a rep. The reps mend 3, 1.5, 0.75, 0.375, 0.1875, 0.094,
 * 0.047; at 0.6 a minute a rep costs 0.4: three are worth it, in 2 min; at 5 a minute not even one
 * is. At 0.05 the seventh is worth its 40 s, but not the minute that it makes the block longer. */
static void reps_stop_where_another_is_not_worth_its_time(void **state)
{
    (void)state;
    static const struct {
        double worth;
        int reps;
    } rows[] = {{0, 8}, {0.05, 6}, {0.28, 4}, {0.6, 3}, {1.2, 2}, {5, 0}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct example x;
        make_example(&x);
        x.in.n_items = 1;
        x.in.rules.minutes = 60;
        x.in.rules.worth = rows[i].worth;
        const struct plan plan = must_plan(&x.in);
        assert_int_equal(plan.n_blocks, rows[i].reps > 0);
        if (plan.n_blocks)
            assert_int_equal(plan.blocks[0].reps, rows[i].reps);
        else
            assert_int_equal(plan.outcomes[0].left, PLAN_LEFT_WORTH);
    }
}

/* A block lasts as long as it must, and reps fill it: a small mark in blocks of five minutes gets
 * what is worth it, and the rest of the hour is a run. */
static void what_is_left_over_is_a_run_of_the_show(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.n_items = 1;
    x.items[0].weight = 1;
    x.in.rules.minutes = 20;
    x.in.rules.least = 5;
    x.in.rules.worth = 0.1;
    x.in.rules.no_run = false;
    struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 2);
    assert_int_equal(plan.blocks[0].seconds, 5 * 60);
    assert_int_equal(plan.blocks[0].reps, 3); /* 0.5, 0.25, 0.125; the next 0.0625 < 40 s x 0.1 */
    const struct plan_block *run = &plan.blocks[1];
    assert_int_equal(run->kind, PLAN_RUN);
    assert_int_equal(run->start_s, 5 * 60);
    assert_int_equal(run->seconds, 15 * 60);
    assert_string_equal(run->name, "run of the show, twice; then any part of it again");
    assert_int_equal(run->list[0].last_set, 2);
    assert_int_equal(run->reps, 2); /* 80 s each */
    assert_int_equal(plan.spare_s, 0);
    x.in.rules.no_run = true;
    plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 1);
    assert_int_equal(plan.spare_s, 15 * 60);
    x.in.rules.no_run = false; /* a show that is longer: from its beginning, on behind the break */
    for (int s = 0; s < 3; s++)
        x.sets[s].play_s = 250;
    x.in.rules.breaks =
        (struct heat_breaks){.work_most_s = 15 * 60, .break_s = 120, .source = "test"};
    x.in.rules.minutes = 25;
    x.items[0].weight = 1.5;
    plan = must_plan(&x.in);
    assert_int_equal(plan.blocks[0].reps, 1);
    assert_string_equal(plan.blocks[1].name, "run of sets 1 to 2");
    assert_int_equal(plan.blocks[2].kind, PLAN_BREAK);
    assert_string_equal(plan.blocks[3].name, "run of set 3");
    for (size_t i = 1; i < 4; i += 2)
        assert_true(plan.blocks[i].list[0].seconds <= plan.blocks[i].seconds);
}

/* Weights 6, 4, 8, every set for itself: show order is 1 2 3, the worst is 3. */
static void the_worst_may_come_first(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.chunk_sets = 1;
    x.in.rules.minutes = 9;
    const double gain = must_plan(&x.in).gain;
    x.in.rules.order = PLAN_WORST_FIRST;
    const struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 3);
    assert_int_equal(plan.blocks[0].list[0].first_set, 2);
    assert_int_equal(plan.blocks[1].list[0].first_set, 0);
    assert_int_equal(plan.blocks[2].list[0].first_set, 1);
    assert_close(plan.gain, gain);
    assert_false(plan.not_worst_first);
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
    /* a minute apart, less 20 s to come back: one rep each, 3 + 2; then set 3 three times in 2 min,
     * 8 x 0.875. Two minutes apart: 4.5 + 3 + 4. */
    const struct plan plan = must_plan(&x.in);
    assert_true(plan.apart);
    assert_close(plan.gain, 3 + 2 + 7);
    assert_int_equal(plan.apart_to_s, 60);
    assert_int_equal(plan.n_blocks, 3);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(plan.blocks[i].kind, PLAN_SECTIONAL);
        assert_int_equal(plan.blocks[i].group, i);
        assert_int_equal(plan.blocks[i].start_s, 0);
        assert_int_equal(plan.blocks[i].seconds, 60);
        assert_int_equal(plan.blocks[i].list[0].seconds, 40);
    }
    assert_int_equal(plan.blocks[2].kind, PLAN_REP);
    assert_int_equal(plan.blocks[2].start_s, 60);
    assert_int_equal(plan.spare_s, 0);
    x.in.rules.apart_worth = 0.5; /* then it does not pay: see above, all together 10 */
    assert_close(must_plan(&x.in).gain, 10);
}

/* A section without a fix of its own is named: its own part of the sets with the most marks of it,
 * hard and walked ones left out; else with one of its kind; else its part of the show's (set 3 has 8
 * open, set 1 has 6, set 2 is hard). */
static void a_section_with_nothing_open_is_named(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    const int least_clean[] = {1, 2};
    struct plan_group groups[] = {
        {.name = "trumpets", .attends = true, .apart = true, .there = true, .up = 1},
        {.name = "tubas", .attends = true, .apart = true, .there = true, .up = 2},
        {.name = "flutes", .attends = true, .apart = true, .there = true, .up = 2},
        {.name = "cornets", .attends = true, .apart = true, .there = true, .up = 3},
        {.name = "snares",
         .attends = true,
         .apart = true,
         .there = true,
         .up = 3,
         .least_clean = least_clean,
         .n_least_clean = 2},
        {.name = "nobody", .attends = true, .apart = true, .up = 1},
        {.name = "away", .apart = true, .there = true, .up = 1},
    };
    static const struct {
        const char *name;
        int chunks;
    } want[] = {{"", 1},
                {"", 1},
                {"with tubas", 0},
                {"least clean sets of the show", 2},
                {"least clean sets", 2}};
    x.in.groups = groups;
    x.in.n_groups = sizeof groups / sizeof *groups;
    x.in.rules.minutes = 12;
    x.in.rules.least = 5; /* so that there is time for both */
    x.in.rules.gather_s = 0;
    x.sets[1].step_in = 40;
    const struct plan_wish apart = {.kind = PLAN_APART, .group = PLAN_EVERYONE};
    x.in.wishes = &apart;
    x.in.n_wishes = 1;
    const struct plan plan = must_plan(&x.in);
    for (int i = 0; i < 5; i++) {
        const struct plan_block *b = &plan.blocks[i];
        assert_int_equal(b->kind, PLAN_SECTIONAL);
        assert_int_equal(b->group, i);
        assert_int_equal(b->start_s, plan.blocks[0].start_s);
        assert_int_equal(b->seconds, plan.blocks[0].seconds);
        assert_int_equal(b->n_list, want[i].chunks);
        assert_string_equal(b->name, want[i].name);
    }
    assert_int_equal(plan.blocks[3].list[0].first_set, 2);
    assert_int_equal(plan.blocks[3].list[1].first_set, 0);
    assert_int_equal(plan.blocks[4].list[0].first_set, 2);
    assert_true(plan.blocks[4].reps > 0 && plan.blocks[4].gain == 0);
    assert_int_equal(plan.n_blocks, 6);
    assert_int_equal(plan.blocks[5].kind, PLAN_REP); /* neither "nobody" nor "away" */
    assert_true(has_caution(&plan, "away: nobody attends"));
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
    assert_int_equal(plan.apart_to_s, 120);
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
    assert_close(plan->cost, 0);
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

/* The gain itself, whatever a minute is worth, with and without sectionals and breaks. */
static void more_minutes_never_gain_less(void **state)
{
    (void)state;
    int grows = 0;
    for (uint32_t seed = 71; seed <= 110; seed++) {
        struct draw d;
        const struct draw_size size = {
            .sets = 8, .items = 10, .groups = 3, .minutes = 5, .chunk_sets = 3, .most_reps = 5};
        draw_rehearsal(&d, seed, &size);
        if (seed % 2)
            d.in.rules.breaks =
                (struct heat_breaks){.work_most_s = 600, .break_s = 120, .source = "test"};
        double before = 0;
        for (int minutes = 8; minutes <= 40; minutes++) {
            d.in.rules.minutes = minutes;
            const double gain = must_plan(&d.in).gain;
            if (!(gain >= before - 1e-9))
                fail_msg("rehearsal %u, %d min: %.12g after %.12g", seed, minutes, gain, before);
            grows += gain > before;
            before = gain;
        }
    }
    assert_true(grows > 200);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(joining_three_sets_gains_thirteen_and_a_half),
        cmocka_unit_test(without_joining_four_reps_gain_ten),
        cmocka_unit_test(reps_stop_where_another_is_not_worth_its_time),
        cmocka_unit_test(what_is_left_over_is_a_run_of_the_show),
        cmocka_unit_test(the_worst_may_come_first),
        cmocka_unit_test(a_section_with_nothing_open_is_named),
        cmocka_unit_test(joining_two_sets_gains_twelve),
        cmocka_unit_test(a_set_that_opens_a_part_is_not_joined_to_the_one_before),
        cmocka_unit_test(set_up_time_is_taken_once_for_a_chunk),
        cmocka_unit_test(a_rep_mends_what_was_said_before_it),
        cmocka_unit_test(joining_three_sets_with_three_faults_pays_less_when_two_are_said),
        cmocka_unit_test(an_item_s_own_p_and_shares_count),
        cmocka_unit_test(a_set_that_is_walked_first_takes_its_time),
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
