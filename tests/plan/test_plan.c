#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "draw.h"
#include "plan/plan.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static struct arena arena;

static int free_arena(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

/* Three sets of 20 s, reset 20 s, p = 0.5, weights 6, 4, 8, three minutes: the example in
 * plan/plan.h. Tests change copies of the parts. */
struct example {
    struct plan_input in;
    struct plan_set sets[3];
    struct plan_group groups[2];
    struct plan_item items[3];
};

static const int set_0 = 0, set_1 = 1, set_2 = 2;

static void make_example(struct example *x)
{
    *x = (struct example){
        .sets = {{.label = "1", .counts = 16, .play_s = 20, .bpm_from = 144, .bpm_to = 144},
                 {.label = "2", .counts = 16, .play_s = 20, .bpm_from = 144, .bpm_to = 152},
                 {.label = "3", .counts = 24, .play_s = 20, .bpm_from = 152, .bpm_to = 152}},
        .groups = {{"trumpets", true, false}, {"tubas", true, false}},
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
    x->in.rules.breaks = (struct heat_breaks){0};
}

static struct plan must_plan(const struct plan_input *in)
{
    struct plan plan;
    struct err e = {0};
    if (!plan_make(in, NULL, 0, &arena, &plan, &e))
        fail_msg("%s", e.text);
    return plan;
}

static void must_refuse(const struct plan_input *in, const char *says)
{
    struct plan plan;
    struct err e = {0};
    assert_false(plan_make(in, NULL, 0, &arena, &plan, &e));
    assert_int_equal(e.code, ERR_INPUT);
    if (!strstr(e.text, says))
        fail_msg("'%s' lacks '%s'", e.text, says);
}

static bool has_caution(const struct plan *plan, const char *says)
{
    for (size_t i = 0; i < plan->n_cautions; i++)
        if (strstr(plan->cautions[i], says))
            return true;
    return false;
}

static void assert_close(double got, double want)
{
    if (!(fabs(got - want) < 1e-9))
        fail_msg("got %.12g, want %.12g", got, want);
}

/* --- the example by hand -------------------------------------------------------------------- */

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

/* --- breaks and fixed items ----------------------------------------------------------------- */

static void an_hour_has_its_water_and_no_rep_is_cut(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 60;
    x.in.rules.most_reps = 40;
    x.in.rules.breaks = heat_breaks_default();
    const struct plan plan = must_plan(&x.in);
    int breaks = 0, rested = 0;
    for (size_t i = 0; i < plan.n_blocks; i++) {
        const struct plan_block *b = &plan.blocks[i];
        const int end = b->start_s + b->seconds;
        assert_true(end - rested <= 20 * 60 || b->kind == PLAN_BREAK);
        if (b->kind != PLAN_BREAK) {
            assert_int_equal(b->seconds, b->reps * b->rep_s);
            continue;
        }
        breaks++;
        assert_true(b->seconds >= 3 * 60);
        rested = end;
    }
    assert_int_equal(breaks, 2); /* at 18:20 and 18:43 */
    assert_true(has_caution(&plan, "common practice, no source"));
}

/* Reps of 80 s, breaks after five minutes: three reps fit (240 s), the fourth would end at 320. */
static void a_break_begins_early_rather_than_cut_a_rep(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 8;
    x.in.rules.most_reps = 4;
    x.in.n_items = 1;
    x.sets[0].play_s = 60;
    x.in.rules.breaks = (struct heat_breaks){300, 60, 0, "test"};
    const struct plan plan = must_plan(&x.in);
    assert_int_equal(plan.n_blocks, 3);
    assert_int_equal(plan.blocks[0].reps, 3);
    assert_int_equal(plan.blocks[0].first_rep, 1);
    assert_int_equal(plan.blocks[0].chunk_reps, 4);
    assert_close(plan.blocks[0].gain, 6 * (1 - 0.125));
    assert_int_equal(plan.blocks[1].kind, PLAN_BREAK);
    assert_int_equal(plan.blocks[1].start_s, 240);
    assert_int_equal(plan.blocks[1].seconds, 120);
    assert_int_equal(plan.blocks[2].first_rep, 4);
    assert_int_equal(plan.blocks[2].reps, 1);
    assert_int_equal(plan.blocks[2].start_s, 360);
    assert_close(plan.blocks[2].gain, 6 * 0.0625);
}

static void fixed_items_stand_where_they_were_put(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    const struct plan_fixed fixed[] = {
        {"run-through", PLAN_LAST, 0, 8},
        {"warm-up", PLAN_FIRST, 0, 10},
        {"talk", PLAN_AT, 18 * 60 + 30, 5},
        {"stretching", PLAN_FIRST, 0, 4},
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

static void breaks_go_around_fixed_items(void **state)
{
    (void)state;
    static const struct {
        struct plan_fixed fixed;
        int first_break_min;
    } rows[] = {
        {{"run", PLAN_AT, 18 * 60 + 15, 10}, 12}, /* across 18:20: water right before it */
        {{"run", PLAN_AT, 18 * 60 + 21, 5}, 18},  /* it would meet the break's end: before it */
        {{"run", PLAN_FIRST, 0, 25}, 25},         /* no room before: right after */
        {{"run", PLAN_AT, 18 * 60 + 5, 15}, 20},  /* over in time */
        {{"run", PLAN_AT, 18 * 60 + 23, 10}, 20}, /* not in the way */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct example x;
        make_example(&x);
        x.in.rules.minutes = 50;
        x.in.rules.most_reps = 40;
        x.in.rules.breaks = heat_breaks_default();
        x.in.fixed = &rows[i].fixed;
        x.in.n_fixed = 1;
        const struct plan plan = must_plan(&x.in);
        size_t b = 0;
        while (plan.blocks[b].kind != PLAN_BREAK)
            b++;
        const int end = plan.blocks[b].start_s + plan.blocks[b].seconds;
        assert_int_equal(end, (rows[i].first_break_min + 3) * 60);
    }
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

/* --- who is there --------------------------------------------------------------------------- */

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

/* --- bad input ------------------------------------------------------------------------------ */

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
    assert_int_equal(plan.blocks[0].first_set, 1);
    assert_int_equal(plan.blocks[0].last_set, 1);
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
    REFUSE((x.in.rules.breaks = (struct heat_breaks){600, 60, 120, "hot"}),
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
    must_refuse(&x.in, "set 1 takes 65 s");
    const struct plan_fixed warm_up = {"warm-up", PLAN_FIRST, 0, 3};
    make_example(&x);
    x.in.fixed = &warm_up;
    x.in.n_fixed = 1;
    must_refuse(&x.in, "no room for one rep");
}

static void fixed_items_that_clash_are_named(void **state)
{
    (void)state;
    struct example x;
    make_example(&x);
    x.in.rules.minutes = 30;
    x.in.fixed = (const struct plan_fixed[]){{"talk", PLAN_AT, 18 * 60 + 5, 10},
                                             {"warm-up", PLAN_FIRST, 0, 10}};
    x.in.n_fixed = 2;
    must_refuse(&x.in, "warm-up and talk overlap at 18:05");
    x.in.fixed = (const struct plan_fixed[]){{"run", PLAN_AT, 18 * 60 + 25, 10}};
    x.in.n_fixed = 1;
    must_refuse(&x.in, "run: at 18:25 for 10 min it does not fit");
    x.in.fixed = (const struct plan_fixed[]){{"early", PLAN_AT, 17 * 60, 10}};
    must_refuse(&x.in, "early: at 17:00 next day");
    x.in.fixed = (const struct plan_fixed[]){{"run", PLAN_LAST, 0, 40}};
    must_refuse(&x.in, "run: at ");
    x.in.fixed = (const struct plan_fixed[]){{"run", PLAN_LAST, 0, 0}};
    must_refuse(&x.in, "run: 0 min");
}

/* --- clock ---------------------------------------------------------------------------------- */

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
    };
    char text[24];
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(plan_clock(rows[i].start_min, rows[i].at_s, text), rows[i].text);
    struct example x;
    make_example(&x);
    x.in.rules.start_min = 23 * 60 + 50;
    x.in.rules.minutes = 30;
    x.in.fixed = (const struct plan_fixed[]){{"talk", PLAN_AT, 5, 5}}; /* 0:05 */
    x.in.n_fixed = 1;
    const struct plan plan = must_plan(&x.in);
    bool seen = false;
    for (size_t i = 0; i < plan.n_blocks; i++)
        seen |= plan.blocks[i].kind == PLAN_FIXED && plan.blocks[i].start_s == 15 * 60;
    assert_true(seen);
}

/* --- cautions ------------------------------------------------------------------------------- */

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
    const struct plan_fixed run = {"run-through", PLAN_LAST, 0, 30};
    x.in.rules.breaks = heat_breaks_default();
    plan = must_plan(&x.in);
    assert_false(has_caution(&plan, "without a rest"));
    assert_false(has_caution(&plan, "without a break"));
    x.in.fixed = &run;
    x.in.n_fixed = 1;
    plan = must_plan(&x.in);
    assert_true(has_caution(&plan, "30 min without a break"));
}

static void many_hard_reps_in_a_row_are_a_caution(void **state)
{
    (void)state;
    static const struct {
        double bpm, step_in;
        bool backward;
        int most_reps;
        const char *says;
    } rows[] = {
        {168, 22.5, true, 12, "set 1 moves backward at 168 bpm"},
        {120, 36, false, 12, "set 1 has steps of 36 in"},
        {168, 22.5, true, 6, NULL},
        {120, 0, true, 12, NULL},
        {168, 0, false, 12, NULL},
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
        const struct plan plan = must_plan(&x.in);
        if (rows[i].says)
            assert_true(has_caution(&plan, rows[i].says));
        assert_int_equal(has_caution(&plan, "hard reps in a row"), rows[i].says != NULL);
    }
}

/* --- every plan ----------------------------------------------------------------------------- */

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
        d.in.rules.breaks = (struct heat_breaks){60 * (5 + (int)seed % 9), 120, 0, "test"};
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
        cmocka_unit_test(an_item_s_own_p_and_shares_count),
        cmocka_unit_test(an_hour_has_its_water_and_no_rep_is_cut),
        cmocka_unit_test(a_break_begins_early_rather_than_cut_a_rep),
        cmocka_unit_test(fixed_items_stand_where_they_were_put),
        cmocka_unit_test(breaks_go_around_fixed_items),
        cmocka_unit_test(no_break_is_planned_after_the_last_work),
        cmocka_unit_test(sections_apart_work_at_the_same_time),
        cmocka_unit_test(a_fix_that_needs_the_others_is_never_worked_apart),
        cmocka_unit_test(items_of_an_absent_section_are_left_with_the_reason),
        cmocka_unit_test(nobody_there_leaves_everything_without_a_crash),
        cmocka_unit_test(what_found_no_time_says_so),
        cmocka_unit_test(an_unknown_tempo_is_asked_for),
        cmocka_unit_test(bad_figures_are_refused_with_a_reason),
        cmocka_unit_test(too_few_minutes_for_one_rep_say_what_one_takes),
        cmocka_unit_test(fixed_items_that_clash_are_named),
        cmocka_unit_test(the_clock_runs_over_midnight),
        cmocka_unit_test(the_last_caution_says_who_decides),
        cmocka_unit_test(long_work_without_rest_is_a_caution),
        cmocka_unit_test(many_hard_reps_in_a_row_are_a_caution),
        cmocka_unit_test(blocks_never_overlap_and_gains_add_up),
        cmocka_unit_test(more_minutes_never_gain_less),
    };
    return cmocka_run_group_tests(tests, NULL, free_arena);
}
