#include <limits.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "example.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

/* --- breaks and fixed items --- */

/* The longest work without a rest: a break, or an item that is rest. */
static int longest_work_s(const struct plan *plan)
{
    int rested = 0, longest = 0;
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        const int end = b->start_s + b->seconds;
        if (b->kind == PLAN_BREAK || b->rest)
            rested = end;
        else if (end - rested > longest)
            longest = end - rested;
    }
    return longest;
}

static int breaks_in(const struct plan *plan)
{
    int n = 0;
    for (size_t i = 0; i < plan->n_blocks; i++)
        n += plan->blocks[i].kind == PLAN_BREAK;
    return n;
}

static void an_hour_has_its_water_and_no_block_is_cut(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 60;
    x.in.rules.most_reps = 12;
    x.in.rules.chunk_sets = 1;
    x.in.rules.no_run = false;
    x.in.rules.breaks = heat_breaks_default();
    const struct plan plan = must_plan(&x.in);
    for (size_t i = 0; i < plan.n_blocks; i++) {
        const struct plan_block *b = &plan.blocks[i];
        assert_int_equal(b->start_s % 60, 0);
        assert_int_equal(b->seconds % 60, 0);
        assert_true(b->kind != PLAN_BREAK || b->seconds >= 3 * 60);
        assert_true(b->kind != PLAN_REP ||
                    (b->list[0].seconds <= b->seconds && b->list[0].seconds > b->seconds - 60));
    }
    assert_int_equal(breaks_in(&plan), 2);
    assert_true(longest_work_s(&plan) <= 20 * 60);
    assert_true(has_caution(&plan, "common practice, no source"));
}

/* Sets of 180 s, 3 min a rep, work of 5 min at most: one rep of each, a break of a minute before the
 * second and before the third, none behind. 3 + 1 + 3 + 1 + 3 = 11 min. */
static void a_break_comes_between_blocks(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 13;
    x.in.rules.chunk_sets = 1;
    for (int s = 0; s < 3; s++)
        x.sets[s].play_s = 160;
    x.in.rules.breaks = (struct heat_breaks){.work_most_s = 300, .break_s = 60, .source = "test"};
    const struct plan plan = must_plan(&x.in);
    static const enum plan_kind kinds[] = {PLAN_REP, PLAN_BREAK, PLAN_REP, PLAN_BREAK, PLAN_REP};
    assert_int_equal(plan.n_blocks, COUNT(kinds));
    for (size_t i = 0; i < COUNT(kinds); i++)
        assert_int_equal(plan.blocks[i].kind, kinds[i]);
    assert_int_equal(plan.blocks[1].start_s, 180);
    assert_int_equal(plan.blocks[1].seconds, 60);
    assert_int_equal(plan.blocks[4].start_s, 8 * 60);
    assert_int_equal(plan.spare_s, 120);
}

static void fixed_items_stand_where_they_were_put(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    const struct plan_fixed fixed[] = {
        {"run-through", PLAN_LAST, 0, 8, false},
        {"warm-up", PLAN_FIRST, 0, 10, false},
        {"talk", PLAN_AT, 18 * 60 + 30, 5, false},
        {"stretching", PLAN_FIRST, 0, 4, false},
    };
    x.in.rules.minutes = 60;
    x.in.fixed = fixed;
    x.in.n_fixed = COUNT(fixed);
    const struct plan plan = must_plan(&x.in);
    const struct {
        const char *name;
        int start_min, minutes;
    } want[] = {{"warm-up", 0, 10}, {"stretching", 10, 4}, {"talk", 30, 5}, {"run-through", 52, 8}};
    size_t seen = 0;
    for (size_t i = 0; i < plan.n_blocks; i++) {
        const struct plan_block *b = &plan.blocks[i];
        if (b->kind != PLAN_FIXED)
            continue;
        assert_string_equal(b->name, want[seen].name);
        assert_int_equal(b->start_s, want[seen].start_min * 60);
        assert_int_equal(b->seconds, want[seen].minutes * 60);
        seen++;
    }
    assert_int_equal(seen, COUNT(want));
}

/* Nobody works longer than the rhythm allows, into a fixed item or out of it; of one that is longer
 * itself they come from a rest, and one follows before anything else. */
static void breaks_go_around_fixed_items(void **state)
{
    (void)state;
    static const struct {
        struct plan_fixed fixed;
        int longest_min;
    } rows[] = {
        {{"run", PLAN_AT, 18 * 60 + 15, 10, false}, 20},
        {{"run", PLAN_AT, 18 * 60 + 21, 5, false}, 20},
        {{"run", PLAN_FIRST, 0, 25, false}, 25},
        {{"run", PLAN_AT, 18 * 60 + 20, 24, false}, 24},
        {{"run", PLAN_AT, 18 * 60 + 5, 15, false}, 20},
        {{"run", PLAN_AT, 18 * 60 + 23, 10, false}, 20},
        {{"run", PLAN_LAST, 0, 12, false}, 20},
        {{"talk", PLAN_AT, 18 * 60 + 18, 5, true}, 20}, /* it is a rest itself */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct example x;
        make_example(&x);
        x.in.rules.minutes = 50;
        x.in.rules.most_reps = 40;
        x.in.rules.no_run = i % 2;
        x.in.rules.breaks = heat_breaks_default();
        x.in.fixed = &rows[i].fixed;
        x.in.n_fixed = 1;
        const struct plan plan = must_plan(&x.in);
        if (longest_work_s(&plan) > rows[i].longest_min * 60)
            fail_msg("row %zu: %d s without a rest", i, longest_work_s(&plan));
        assert_int_equal(has_caution(&plan, "without a break"), rows[i].longest_min > 20);
    }
}

/* Warm-up of ten minutes, and work of twelve at most: a break lies between it and a longer block. */
static void a_break_follows_a_fixed_item_where_the_next_block_needs_one(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    const struct plan_fixed fixed[] = {{"warm-up", PLAN_FIRST, 0, 10, false}};
    x.in.rules.minutes = 30;
    x.in.rules.breaks =
        (struct heat_breaks){.work_most_s = 12 * 60, .break_s = 180, .source = "test"};
    x.in.rules.reset_s = 120;
    x.in.fixed = fixed;
    x.in.n_fixed = 1;
    const struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.blocks[1].kind, PLAN_BREAK);
    assert_int_equal(plan.blocks[1].start_s, 10 * 60);
    assert_int_equal(plan.blocks[1].seconds, 3 * 60);
    assert_true(longest_work_s(&plan) <= 12 * 60);
}

static void no_break_is_planned_after_the_last_work(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 60;
    x.in.rules.most_reps = 2;
    x.in.rules.breaks = heat_breaks_default();
    const struct plan plan = must_plan(&x.in);
    for (size_t i = 0; i < plan.n_blocks; i++)
        assert_int_equal(plan.blocks[i].kind, PLAN_REP);
    assert_true(plan.spare_s > 50 * 60);
}

/* --- clock --- */

static void the_clock_runs_over_midnight(void **state)
{
    (void)state;
    static const struct {
        int start_min, at_s;
        const char *text;
    } rows[] = {
        {18 * 60, 0, "18:00"},
        {18 * 60, 335, "18:05:35"},
        {23 * 60 + 50, 600, "0:00 next day"},
        {23 * 60 + 50, 1205, "0:10:05 next day"},
        {0, 0, "0:00"},
        {23 * 60 + 59, 59, "23:59:59"},
        {INT_MAX, INT_MAX, "5:21:07 next day"}, /* a show file that somebody made up */
        {0, -60, "23:59"},
        {INT_MIN, INT_MIN, "18:37:52"},
    };
    char text[24];
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(plan_clock(rows[i].start_min, rows[i].at_s, text), rows[i].text);
    struct example x;
    make_example(&x);
    x.in.rules.start_min = 23 * 60 + 50;
    x.in.rules.minutes = 30;
    x.in.fixed = (const struct plan_fixed[]){{"talk", PLAN_AT, 5, 5, false}}; /* 0:05 */
    x.in.n_fixed = 1;
    const struct plan plan = must_plan(&x.in);
    bool seen = false;
    for (size_t i = 0; i < plan.n_blocks; i++)
        seen |= plan.blocks[i].kind == PLAN_FIXED && plan.blocks[i].start_s == 15 * 60;
    assert_true(seen);
}

/* --- cautions --- */

static void the_last_caution_says_who_decides(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    const struct plan plan = must_plan(&x.in);
    const char *last = plan.cautions[plan.n_cautions - 1];
    assert_non_null(
        strstr(last, "Local policy, the athletic trainer and licensed practice decide"));
    for (size_t i = 0; i < plan.n_cautions; i++)
        assert_null(strstr(plan.cautions[i], "safe"));
    assert_true(has_caution(&plan, "no breaks are planned"));
}

/* Thresholds: common practice, no source. */
static void long_work_without_rest_is_a_caution(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 60;
    x.in.rules.most_reps = 100;

    struct plan plan = must_plan(&x.in);
    assert_true(has_caution(&plan, "min without a rest; more than 45"));
    const struct plan_fixed run = {"run-through", PLAN_LAST, 0, 30, false};
    x.in.rules.breaks = heat_breaks_default();
    plan = must_plan(&x.in);
    assert_false(has_caution(&plan, "without a rest"));
    assert_false(has_caution(&plan, "without a break"));
    x.in.fixed = &run;
    x.in.n_fixed = 1;
    plan = must_plan(&x.in);
    assert_true(has_caution(&plan, "30 min without a break"));
}

/* Reps of a block's chunk at tempo. */
static int run_reps(const struct plan_block *b)
{
    return b->reps - (b->list[0].walk_s > 0);
}

/* Where it is hard on the body a chunk gets six reps, however much time and gain there is; a person
 * who keeps more is told. */
static void hard_reps_end_where_the_caution_begins(void **state)
{
    (void)state;
    static const struct {
        double bpm, step_in;
        bool backward;
        int most_reps, planned;
        const char *says;
    } rows[] = {
        {168, 22.5, true, 12, 6, "set 1 moves backward at 168 bpm"},
        {120, 36, false, 12, 6, "set 1 has steps of 36 in"},
        {168, 22.5, true, 5, 5, "set 1 moves backward at 168 bpm"},
        {120, 0, true, 12, 12, NULL},
        {168, 0, false, 12, 12, NULL},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct example x;
        make_example(&x);
        x.in.n_items = 1;
        x.in.rules.minutes = 10;
        x.in.rules.most_reps = rows[i].most_reps;
        x.sets[0].bpm_from = x.sets[0].bpm_to = rows[i].bpm;
        x.sets[0].step_in = rows[i].step_in;
        x.sets[0].backward = rows[i].backward;
        struct plan plan = must_plan(&x.in);
        assert_int_equal(plan.blocks[0].reps, rows[i].planned);
        assert_false(has_caution(&plan, "hard reps in a row"));
        assert_int_equal(has_caution(&plan, "hard on the body: set 1 "), rows[i].says != NULL);
        const struct plan_wish keep = {PLAN_KEEP, PLAN_EVERYONE, 0, 0, 7, 0};
        x.in.wishes = &keep;
        x.in.n_wishes = 1;
        plan = must_plan(&x.in);
        assert_int_equal(plan.blocks[0].reps, 7);
        assert_int_equal(has_caution(&plan, "more than 6 hard reps in a row"),
                         rows[i].says != NULL);
        assert_true(!rows[i].says || has_caution(&plan, rows[i].says));
    }
}

static void a_rep_that_is_walked_is_not_a_hard_one(void **state)
{
    (void)state;
    for (int walked = 0; walked <= 1; walked++) {
        struct example x;
        make_example(&x);
        x.in.n_items = 1;
        x.in.rules.minutes = 10;
        x.sets[0].step_in = 36;
        x.sets[0].walk = walked ? "T1 and M4 come near each other" : "";
        const struct plan plan = must_plan(&x.in);
        assert_int_equal(plan.blocks[0].reps, 6 + walked);
        assert_false(has_caution(&plan, "hard reps in a row"));
    }
}

/* Three sets of their own chunk, four reps each where none is hard; sets 1 and 2 hard share six. A
 * break between them, or a set that is not hard, begins another row. */
static void hard_reps_of_neighbouring_blocks_count_together(void **state)
{
    (void)state;
    for (int hard = 1; hard <= 3; hard++) {
        struct example x;
        make_example(&x);
        x.in.rules.chunk_sets = 1;
        x.in.rules.most_reps = 4;
        x.in.rules.minutes = 9;
        for (int s = 0; s < 3; s++) {
            x.sets[s].backward = hard > 1 ? s < hard : s != 1;
            x.sets[s].bpm_from = 160;
        }
        const struct plan plan = must_plan(&x.in);
        int in_row = 0, most = 0, reps = 0;
        for (size_t i = 0; i < plan.n_blocks; i++) {
            const struct plan_block *b = &plan.blocks[i];
            in_row = x.sets[b->list[0].first_set].backward ? in_row + run_reps(b) : 0;
            most = in_row > most ? in_row : most;
            reps += b->reps;
        }
        assert_int_equal(most, hard == 1 ? 4 : 6);
        assert_int_equal(reps, hard == 1 ? 12 : hard == 2 ? 10 : 6);
        assert_false(has_caution(&plan, "hard reps in a row"));
    }
}

/* Sets 1 and 2, both hard, six reps each in 4 min: with a break between they are two rows. */
static void a_break_ends_a_row_of_hard_reps(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.n_items = 2;
    x.in.rules.minutes = 11;
    x.in.rules.most_reps = 20;
    x.in.rules.chunk_sets = 1;
    x.sets[0].step_in = x.sets[1].step_in = 36;
    struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.blocks[0].reps + plan.blocks[1].reps, 6);
    x.in.rules.breaks = (struct heat_breaks){.work_most_s = 300, .break_s = 60, .source = "test"};
    plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 3);
    assert_int_equal(plan.blocks[0].reps, 6);
    assert_int_equal(plan.blocks[1].kind, PLAN_BREAK);
    assert_int_equal(plan.blocks[2].reps, 6);
    assert_false(has_caution(&plan, "hard reps in a row"));
    assert_true(has_caution(&plan, "hard on the body: sets 1 2 have steps of 36 in;"));
}

/* Nobody steps 190 in: the table is wrong, and that is what is said; it limits no reps. */
static void a_wrong_dot_is_said_to_be_one(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.n_items = 1;
    x.in.rules.minutes = 6;
    x.sets[0].step_in = 190;
    const struct plan plan = must_plan(&x.in);
    assert_true(has_caution(&plan, "set 1: a dot is wrong, as nobody steps 190 in"));
    assert_false(has_caution(&plan, "hard on the body"));
    assert_int_equal(plan.blocks[0].reps, 8);
}

/* Each once, and in the order of the rehearsal. */
static void cautions_stand_in_time_order(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 9;
    x.in.rules.chunk_sets = 1;
    x.in.rules.order = PLAN_WORST_FIRST; /* 3, 1, 2 */
    for (int s = 0; s < 3; s++)
        x.sets[s].walk = "somebody comes near somebody";
    const struct plan plan = must_plan(&x.in);
    static const char *const order[] = {"no breaks", "set 3:", "set 1:", "set 2:", "Local policy"};
    size_t seen = 0;
    for (size_t i = 0; i < plan.n_cautions; i++)
        if (seen < COUNT(order) && strstr(plan.cautions[i], order[seen]) == plan.cautions[i])
            seen++;
    assert_int_equal(seen, COUNT(order));
}

static bool about(const struct plan_block *b, const char *says)
{
    assert_non_null(b->cautions);
    return strstr(b->cautions, says) != NULL;
}

/* A near meeting is the business of reps, a hard move also of a run through it, how long a break is
 * of the break; who decides stands behind any, and alone nowhere. */
static void a_block_has_the_cautions_that_are_about_it(void **state)
{
    (void)state;
    static const char who[] = "Local policy, the athletic trainer and licensed practice decide";
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 20;
    x.in.rules.chunk_sets = 1;
    x.in.rules.most_reps = 2;
    x.in.rules.no_run = false;
    x.sets[0].walk = "T1 comes near U1";
    x.sets[1].step_in = 36;
    x.in.rules.breaks = (struct heat_breaks){.work_most_s = 300, .break_s = 60, .source = "test"};
    const struct plan plan = must_plan(&x.in);
    size_t seen[PLAN_RUN + 1] = {0};
    for (size_t i = 0; i < plan.n_blocks; i++) {
        const struct plan_block *b = &plan.blocks[i];
        const bool rep = b->kind == PLAN_REP, run = b->kind == PLAN_RUN;
        const int set = b->n_list ? b->list[0].first_set : -1;
        seen[b->kind]++;
        assert_int_equal(about(b, "set 1: T1 comes near U1; walk it"), rep && set == 0);
        assert_int_equal(about(b, "hard on the body: set 2 "), run || (rep && set == 1));
        assert_int_equal(about(b, "breaks: test"), b->kind == PLAN_BREAK);
        assert_int_equal(about(b, who), *b->cautions != '\0');
    }
    assert_true(seen[PLAN_REP] == 3 && seen[PLAN_RUN] > 0 && seen[PLAN_BREAK] > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_hour_has_its_water_and_no_block_is_cut),
        cmocka_unit_test(a_break_comes_between_blocks),
        cmocka_unit_test(fixed_items_stand_where_they_were_put),
        cmocka_unit_test(breaks_go_around_fixed_items),
        cmocka_unit_test(a_break_follows_a_fixed_item_where_the_next_block_needs_one),
        cmocka_unit_test(a_wrong_dot_is_said_to_be_one),
        cmocka_unit_test(cautions_stand_in_time_order),
        cmocka_unit_test(a_block_has_the_cautions_that_are_about_it),
        cmocka_unit_test(no_break_is_planned_after_the_last_work),
        cmocka_unit_test(the_clock_runs_over_midnight),
        cmocka_unit_test(the_last_caution_says_who_decides),
        cmocka_unit_test(long_work_without_rest_is_a_caution),
        cmocka_unit_test(hard_reps_end_where_the_caution_begins),
        cmocka_unit_test(a_rep_that_is_walked_is_not_a_hard_one),
        cmocka_unit_test(a_break_ends_a_row_of_hard_reps),
        cmocka_unit_test(hard_reps_of_neighbouring_blocks_count_together),
    };
    return cmocka_run_group_tests(tests, NULL, example_free);
}
