#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "draw.h"
#include "plan/edit.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static struct arena arena;

static int free_arena(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static struct plan remake(const struct plan_input *in, const struct plan_wishes *w)
{
    struct plan plan;
    struct err e = {0};
    struct plan_input asked = *in;
    asked.wishes = w->at;
    asked.n_wishes = w->n;
    if (!plan_make(&asked, &arena, &plan, &e))
        fail_msg("%s", e.text);
    return plan;
}

static void draw_hour(struct draw *d, uint32_t seed)
{
    const struct draw_size size = {
        .sets = 9, .items = 14, .groups = 2, .minutes = 25, .chunk_sets = 3, .most_reps = 6};
    draw_rehearsal(d, seed, &size);
    d->in.rules.breaks = (struct heat_breaks){.work_most_s = 480, .break_s = 120, .source = "test"};
    d->in.rules.worth = 0;
    d->in.rules.no_run = true;
    for (int s = 0; s < size.sets; s++)
        d->sets[s].opens = false; /* a person may keep a chunk that the rules would not join */
}

static size_t first_rep(const struct plan *plan)
{
    size_t i = 0;
    while (plan->blocks[i].kind != PLAN_REP)
        i++;
    return i;
}

/* The first chunk of a block. */
static struct plan_spot of_block(size_t block)
{
    return (struct plan_spot){block, 0};
}

static const struct plan_work *work_of(const struct plan *plan, size_t block)
{
    return &plan->blocks[block].list[0];
}

static bool same_sets(const struct plan_block *a, const struct plan_block *b)
{
    return a->n_list && b->n_list && a->list[0].first_set == b->list[0].first_set &&
           a->list[0].last_set == b->list[0].last_set;
}

/* The block that begins with these sets, of these people, or -1. */
static int find_block(const struct plan *plan, const struct plan_block *like)
{
    for (size_t i = 0; i < plan->n_blocks; i++)
        if (plan->blocks[i].kind == like->kind && plan->blocks[i].group == like->group &&
            same_sets(&plan->blocks[i], like))
            return (int)i;
    return -1;
}

static void keeping_what_was_best_costs_nothing(void **state)
{
    (void)state;
    for (uint32_t seed = 1; seed <= 10; seed++) {
        struct draw d;
        struct plan_wishes w = {0};
        struct err e = {0};
        draw_hour(&d, seed);
        const struct plan best = remake(&d.in, &w);
        for (size_t i = 0; i < best.n_blocks; i++)
            if (best.blocks[i].kind == PLAN_REP)
                assert_true(plan_edit_keep(&w, &best, of_block(i), &e));
        const struct plan kept = remake(&d.in, &w);
        assert_true(fabs(kept.gain - best.gain) < 1e-9);
        assert_true(fabs(kept.cost) < 1e-9);
        assert_true(work_of(&kept, first_rep(&kept))->kept);
        plan_wishes_free(&w);
    }
}

/* The optimum is the best over every way to fix one chunk: so the plan around a kept block is the
 * best there is around it. */
static void the_best_over_all_kept_blocks_is_the_optimum(void **state)
{
    (void)state;
    for (uint32_t seed = 21; seed <= 24; seed++) {
        struct draw d;
        draw_hour(&d, seed);
        const double best = remake(&d.in, &(struct plan_wishes){0}).gain;
        double most = 0;
        for (int first = 0; first < 9; first++) {
            for (int last = first; last < 9 && last < first + 3; last++) {
                for (int reps = 1; reps <= 6; reps++) {
                    struct plan_wish wish[] = {
                        {PLAN_KEEP, PLAN_EVERYONE, first, last, reps, 0},
                    };
                    const struct plan plan =
                        remake(&d.in, &(struct plan_wishes){.at = wish, .n = 1});
                    assert_true(plan.gain <= best + 1e-9);
                    most = fmax(most, plan.gain);
                }
            }
        }
        assert_true(fabs(most - best) < 1e-9);
    }
}

static void a_lengthened_block_has_its_reps_and_says_what_it_costs(void **state)
{
    (void)state;
    struct draw d;
    struct plan_wishes w = {0};
    struct err e = {0};
    draw_hour(&d, 3);
    const struct plan best = remake(&d.in, &w);
    const size_t i = first_rep(&best);
    const int reps = best.blocks[i].reps + 7; /* beyond most_reps as well */
    assert_true(plan_edit_reps(&w, &best, of_block(i), reps, &e));
    const struct plan plan = remake(&d.in, &w);
    const int at = find_block(&plan, &best.blocks[i]);
    assert_true(at >= 0);
    assert_int_equal(plan.blocks[at].reps, reps);
    assert_true(plan.gain < best.gain);
    assert_true(fabs(plan.cost - (best.gain - plan.gain)) < 1e-9); /* minutes have no price here */
    const char *report = plan_edit_report(&plan, best.gain, &arena);
    assert_non_null(strstr(report, "your choices cost"));
    assert_non_null(strstr(report, "less than before"));
    plan_wishes_free(&w);
}

static void a_dropped_block_gives_its_time_to_others(void **state)
{
    (void)state;
    struct draw d;
    struct plan_wishes w = {0};
    struct err e = {0};
    draw_hour(&d, 4);
    const struct plan best = remake(&d.in, &w);
    const size_t i = first_rep(&best);
    const struct plan_block *gone = &best.blocks[i];
    assert_true(plan_edit_drop(&w, &best, of_block(i), &e));
    const struct plan plan = remake(&d.in, &w);
    double chunk_gain = 0;
    for (size_t k = 0; k < best.n_blocks; k++)
        if (same_sets(&best.blocks[k], gone))
            chunk_gain += best.blocks[k].gain;
    assert_true(plan.gain <= best.gain && plan.gain >= best.gain - chunk_gain - 1e-9);
    for (size_t k = 0; k < plan.n_blocks; k++)
        assert_true(plan.blocks[k].kind != PLAN_REP ||
                    work_of(&plan, k)->last_set < gone->list[0].first_set ||
                    work_of(&plan, k)->first_set > gone->list[0].last_set);
    bool told = false;
    for (size_t k = 0; k < plan.n_items; k++)
        told |= plan.outcomes[k].left == PLAN_LEFT_OUT;
    assert_true(told);
    plan_wishes_free(&w);
}

static void a_moved_block_stands_where_it_was_put(void **state)
{
    (void)state;
    struct draw d;
    struct plan_wishes w = {0};
    struct err e = {0};
    draw_hour(&d, 5);
    d.in.rules.breaks = (struct heat_breaks){0};
    d.groups[0].apart = d.groups[1].apart = false;
    const struct plan best = remake(&d.in, &w);
    const size_t last = best.n_blocks - 1;
    assert_true(best.n_blocks > 2);
    assert_int_equal(plan_edit_place(&best, of_block(last)), last);
    assert_true(plan_edit_move(&w, &best, of_block(last), 0, &e));
    const struct plan plan = remake(&d.in, &w);
    const int at = find_block(&plan, &best.blocks[last]);
    assert_int_equal(at, 0);
    assert_int_equal(plan_edit_place(&plan, of_block(0)), 0);
    assert_true(fabs(plan.gain - best.gain) < 1e-9); /* without breaks the order costs nothing */
    assert_true(plan_edit_move(&w, &plan, of_block(0), 99, &e)); /* beyond the end is the end */
    const struct plan back = remake(&d.in, &w);
    assert_int_equal(plan_edit_place(&back, of_block(back.n_blocks - 1)), back.n_blocks - 1);
    assert_int_equal(find_block(&back, &best.blocks[last]), back.n_blocks - 1);
    plan_wishes_free(&w);
}

/* Free are four minutes and three, a talk between. Set 1 takes 120 s, set 2 155 s, so 3 min: 1 1 | 2
 * fits, 2 | 1 1 does not. With weight 8 and p = 0.3: 8 x 0.51 + 8 x 0.3. */
static void an_order_that_fits_less_reports_the_lost_reps(void **state)
{
    (void)state;
    const int s0 = 0, s1 = 1;
    const struct plan_set sets[2] = {{.label = "1", .play_s = 100}, {.label = "2", .play_s = 135}};
    const struct plan_item items[2] = {
        {.name = "a", .group = PLAN_EVERYONE, .weight = 8, .sets = &s0, .n_sets = 1},
        {.name = "b", .group = PLAN_EVERYONE, .weight = 8, .sets = &s1, .n_sets = 1}};
    const struct plan_fixed talk = {"talk", PLAN_AT, 18 * 60 + 4, 1, false};
    struct plan_input in = {.rules = plan_rules_default(),
                            .sets = sets,
                            .items = items,
                            .fixed = &talk,
                            .n_sets = 2,
                            .n_items = 2,
                            .n_fixed = 1};
    in.rules.minutes = 8;
    in.rules.least = 1;
    in.rules.worth = 0;
    in.rules.chunk_sets = 1;
    in.rules.reset_s = 20;
    in.rules.setup_s = 0;
    in.rules.no_run = true;
    in.rules.breaks = (struct heat_breaks){0};
    struct plan_wishes w = {0};
    struct err e = {0};
    const struct plan best = remake(&in, &w); /* 1 1 | talk | 2 */
    assert_int_equal(best.blocks[0].reps, 2);
    assert_true(fabs(best.gain - 8 * 0.81) < 1e-9);
    assert_true(plan_edit_move(&w, &best, of_block(0), 1, &e));
    const struct plan swapped = remake(&in, &w); /* 2 | talk: 1 twice has no room behind it */
    assert_int_equal(work_of(&swapped, 0)->first_set, 1);
    assert_int_equal(swapped.n_blocks, 2);
    assert_true(fabs(swapped.gain - 8 * 0.3) < 1e-9);
    bool told = false;
    for (size_t i = 0; i < swapped.n_cautions; i++)
        told |= strstr(swapped.cautions[i], "2 reps found no room in this order") != NULL;
    assert_true(told);
    assert_string_equal(plan_edit_report(&swapped, best.gain, &arena),
                        "gain 2.4, 4.1 less than before; your choices cost 4.1, with the minutes "
                        "they take");
    plan_wishes_free(&w);
}

/* Trumpets have set 1, tubas set 3, everyone set 2. */
struct apart {
    struct plan_input in;
    struct plan_set sets[3];
    struct plan_group groups[2];
    struct plan_item items[3];
    int set[3];
};

static void make_apart(struct apart *x)
{
    *x = (struct apart){
        .set = {0, 1, 2},
        .sets = {{.label = "1", .play_s = 20},
                 {.label = "2", .play_s = 20},
                 {.label = "3", .play_s = 20}},
        .groups = {{.name = "trumpets", .attends = true, .apart = true, .there = true, .up = -1},
                   {.name = "tubas", .attends = true, .apart = true, .there = true, .up = -1}},
        .items = {{.name = "a", .group = 0, .weight = 6, .sets = &x->set[0], .n_sets = 1},
                  {.name = "b", .group = 1, .weight = 6, .sets = &x->set[2], .n_sets = 1},
                  {.name = "c", .group = -1, .weight = 2, .sets = &x->set[1], .n_sets = 1}},
    };
    x->in = (struct plan_input){.rules = plan_rules_default(),
                                .sets = x->sets,
                                .groups = x->groups,
                                .items = x->items,
                                .n_sets = 3,
                                .n_groups = 2,
                                .n_items = 3};
    x->in.rules.minutes = 6;
    x->in.rules.chunk_sets = 1;
    x->in.rules.gather_s = 30;
    x->in.rules.reset_s = 20;
    x->in.rules.apart_reset_s = 15;
    x->in.rules.setup_s = 0;
    x->in.rules.least = 1;
    x->in.rules.worth = 0;
    x->in.rules.no_run = true;
    x->in.rules.breaks = (struct heat_breaks){0};
}

static void sectional_blocks_are_edited_without_losing_the_sectional(void **state)
{
    (void)state;
    struct apart x;
    make_apart(&x);
    struct plan_wishes w = {0};
    struct err e = {0};
    const struct plan best = remake(&x.in, &w);
    assert_true(best.apart);
    assert_int_equal(best.blocks[0].kind, PLAN_SECTIONAL);
    assert_true(plan_edit_reps(&w, &best, of_block(0), 1, &e));
    assert_true(plan_edit_drop(&w, &best, of_block(best.n_blocks - 1), &e));
    const struct plan plan = remake(&x.in, &w);
    assert_true(plan.apart);
    const int at = find_block(&plan, &best.blocks[0]);
    assert_true(at >= 0);
    assert_int_equal(plan.blocks[at].reps, 1);
    assert_int_equal(plan.outcomes[2].left, PLAN_LEFT_OUT);
    assert_true(plan.gain < best.gain);
    plan_wishes_free(&w);
}

static void a_dropped_sectional_block_does_not_come_back_for_everyone(void **state)
{
    (void)state;
    struct apart x;
    make_apart(&x);
    struct plan_wishes w = {0};
    struct err e = {0};
    const struct plan best = remake(&x.in, &w);
    assert_true(plan_edit_drop(&w, &best, of_block(0), &e));
    assert_int_equal(w.at[0].kind, PLAN_APART);
    struct plan plan = remake(&x.in, &w);
    assert_true(plan.apart);
    assert_int_equal(plan.outcomes[0].left, PLAN_LEFT_OUT);
    assert_int_equal(plan.outcomes[1].left, PLAN_WORKED);
    assert_string_equal(plan.blocks[0].name, "least clean sets of the show");
    assert_false(plan_edit_drop(&w, &plan, of_block(0), &e));
    assert_non_null(strstr(e.text, "nothing of this section is open here"));
    assert_true(plan_edit_drop(&w, &plan, of_block(1), &e));
    plan = remake(&x.in, &w);
    assert_false(plan.apart);
    assert_int_equal(plan.outcomes[0].left, PLAN_LEFT_OUT);
    assert_int_equal(plan.outcomes[1].left, PLAN_LEFT_OUT);
    assert_int_equal(plan.outcomes[2].left, PLAN_WORKED);
    plan_wishes_free(&w);
}

static void seconds_are_asked_for_unless_the_set_is_left_out(void **state)
{
    (void)state;
    struct apart x;
    make_apart(&x);
    x.sets[0].play_s = NAN;
    static const struct {
        struct plan_wish wish[2];
        size_t n;
        bool asked;
    } rows[] = {
        {{{0}}, 0, true},
        {{{PLAN_LEAVE, 1, 0, 0, 0, 0}}, 1, true},  /* other people */
        {{{PLAN_LEAVE, 0, 1, 2, 0, 0}}, 1, true},  /* other sets */
        {{{PLAN_LEAVE, -1, 0, 0, 0, 0}}, 1, true}, /* the sectional could still work it */
        {{{PLAN_LEAVE, 0, 0, 0, 0, 0}}, 1, false},
        {{{PLAN_LEAVE, -1, 0, 0, 0, 0}, {PLAN_TOGETHER, -1, 0, 0, 0, 0}}, 2, false},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct plan plan;
        struct err e = {0};
        x.in.wishes = rows[i].wish;
        x.in.n_wishes = rows[i].n;
        const bool ok = plan_make(&x.in, &arena, &plan, &e);
        assert_int_equal(ok, !rows[i].asked);
        assert_true(ok || strstr(e.text, "set 1: no tempo") != NULL);
        assert_true(!ok || plan.outcomes[0].left == PLAN_LEFT_OUT);
    }
}

static void a_kept_block_stays_even_with_nothing_to_mend(void **state)
{
    (void)state;
    struct apart x;
    make_apart(&x);
    x.items[2].weight = 0;
    struct plan_wish wishes[] = {{PLAN_TOGETHER, -1, 0, 0, 0, 0}, {PLAN_KEEP, -1, 1, 1, 2, 0}};
    const struct plan plan = remake(&x.in, &(struct plan_wishes){.at = wishes, .n = 2});
    bool seen = false;
    for (size_t i = 0; i < plan.n_blocks; i++)
        seen |= work_of(&plan, i)->first_set == 1 && plan.blocks[i].reps == 2 &&
                work_of(&plan, i)->kept;
    assert_true(seen);
    assert_true(plan.cost > 0.1);
}

static void a_released_block_is_free_again(void **state)
{
    (void)state;
    struct draw d;
    struct plan_wishes w = {0};
    struct err e = {0};
    draw_hour(&d, 6);
    const struct plan best = remake(&d.in, &w);
    const size_t i = first_rep(&best);
    assert_false(plan_edit_release(&w, &best, of_block(i), &e));
    assert_non_null(strstr(e.text, "nothing to take back"));
    assert_true(plan_edit_reps(&w, &best, of_block(i), 1, &e));
    const struct plan plan = remake(&d.in, &w);
    assert_true(
        plan_edit_release(&w, &plan, of_block((size_t)find_block(&plan, &best.blocks[i])), &e));
    const struct plan again = remake(&d.in, &w);
    assert_true(fabs(again.gain - best.gain) < 1e-9);
    assert_string_equal(plan_edit_report(&again, best.gain, &arena),
                        arena_printf(&arena, "gain %.1f", best.gain));
    plan_wishes_free(&w);
}

static void edits_that_make_no_sense_are_refused(void **state)
{
    (void)state;
    struct draw d;
    struct plan_wishes w = {0};
    struct err e = {0};
    draw_hour(&d, 7);
    const struct plan best = remake(&d.in, &w);
    size_t pause = 0;
    while (best.blocks[pause].kind != PLAN_BREAK)
        pause++;
    assert_false(plan_edit_drop(&w, &best, of_block(pause), &e));
    assert_non_null(strstr(e.text, "is a break"));
    assert_false(plan_edit_keep(&w, &best, of_block(best.n_blocks), &e));
    assert_non_null(strstr(e.text, "the plan has no block"));
    assert_false(plan_edit_reps(&w, &best, of_block(first_rep(&best)), 0, &e));
    assert_false(plan_edit_reps(&w, &best, of_block(first_rep(&best)), 101, &e));
    assert_false(plan_edit_move(&w, &best, of_block(first_rep(&best)), -1, &e));
    assert_int_equal(w.n, 0);
    plan_wishes_free(&w);
}

static void wishes_that_contradict_or_do_not_fit_are_refused(void **state)
{
    (void)state;
    struct draw d;
    draw_hour(&d, 8);
    d.groups[0].attends = d.groups[0].apart = d.groups[1].attends = true;
    d.groups[1].apart = false;
    static const struct {
        struct plan_wish wish[2];
        size_t n;
        const char *says;
    } rows[] = {
        {{{PLAN_KEEP, -1, 0, 1, 1, 0}, {PLAN_KEEP, -1, 1, 2, 1, 0}}, 2, "keeps in another block"},
        {{{PLAN_KEEP, -1, 0, 1, 1, 0}, {PLAN_LEAVE, -1, 1, 1, 0, 0}}, 2, "leaves out"},
        {{{PLAN_KEEP, -1, 0, 0, 99, 0}}, 1, "do not fit into 25 min"},
        {{{PLAN_KEEP, -1, 0, 9, 1, 0}}, 1, "sets that the show does not have"},
        {{{PLAN_KEEP, -1, 2, 1, 1, 0}}, 1, "sets that the show does not have"},
        {{{PLAN_KEEP, -1, 0, 0, 0, 0}}, 1, "0 reps are outside"},
        {{{PLAN_KEEP, 5, 0, 0, 1, 0}}, 1, "a section that the plan does not have"},
        {{{PLAN_KEEP, 1, 0, 0, 1, 0}}, 1, "they do not work apart"},
        {{{PLAN_TOGETHER, -1, 0, 0, 0, 0}, {PLAN_KEEP, 0, 0, 0, 1, 0}}, 2, "for sectionals"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct plan plan;
        struct err e = {0};
        d.in.wishes = rows[i].wish;
        d.in.n_wishes = rows[i].n;
        assert_false(plan_make(&d.in, &arena, &plan, &e));
        assert_int_equal(e.code, ERR_INPUT);
        if (!strstr(e.text, rows[i].says))
            fail_msg("'%s' lacks '%s'", e.text, rows[i].says);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keeping_what_was_best_costs_nothing),
        cmocka_unit_test(the_best_over_all_kept_blocks_is_the_optimum),
        cmocka_unit_test(a_lengthened_block_has_its_reps_and_says_what_it_costs),
        cmocka_unit_test(a_dropped_block_gives_its_time_to_others),
        cmocka_unit_test(a_moved_block_stands_where_it_was_put),
        cmocka_unit_test(an_order_that_fits_less_reports_the_lost_reps),
        cmocka_unit_test(sectional_blocks_are_edited_without_losing_the_sectional),
        cmocka_unit_test(a_dropped_sectional_block_does_not_come_back_for_everyone),
        cmocka_unit_test(seconds_are_asked_for_unless_the_set_is_left_out),
        cmocka_unit_test(a_kept_block_stays_even_with_nothing_to_mend),
        cmocka_unit_test(a_released_block_is_free_again),
        cmocka_unit_test(edits_that_make_no_sense_are_refused),
        cmocka_unit_test(wishes_that_contradict_or_do_not_fit_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, free_arena);
}
