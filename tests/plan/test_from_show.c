/* What the planner makes of a show and of open marks, with neither a store nor a clip. Steps by hand:
 * eight steps to five yards, 22.5 in each (the trade's 8-to-5 step; on a college's field a step in
 * depth is 22.5 in from the sideline to the hash, too: 60 ft by 32 steps, NCAA Football Rules, Rule
 * 1-2-1, from memory). */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "plan/gather.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

/* band: brass (trumpets, tubas), guard. Sets 1, 2 (8 counts, 120 bpm), 3 (16, no tempo). */
#define SECTION(title, parent)                                                                     \
    {                                                                                              \
        .name = title, .key = "", .words = "", .up = parent                                        \
    }
static struct section sections[] = {SECTION("band", -1), SECTION("brass", 0),
                                    SECTION("trumpets", 1), SECTION("tubas", 1),
                                    SECTION("guard", 0)};
static struct performer performers[] = {{.label = "T1", .section = 2},
                                        {.label = "U1", .section = 3}};
static struct fault faults[] = {{.name = "late", .words = "", .together = true},
                                {.name = "slouch", .words = ""},
                                {.name = "near miss", .words = "collision"}};
static struct set sets[] = {{.label = "1", .counts = 0, .tempo = 120},
                            {.label = "2", .counts = 8, .tempo = 120},
                            {.label = "3", .counts = 16}};
static const struct move moves[] = {{"1", 0, 120, 0, 0}, {"2", 8, 120, 0, 2}, {"3", 16, 0, 0, 0}};
static const struct moves all_moves = {moves, COUNT(moves)};

static struct show the_show(struct dot *dots, size_t n)
{
    return (struct show){.sections = sections,
                         .performers = performers,
                         .faults = faults,
                         .sets = sets,
                         .dots = dots,
                         .n_sections = COUNT(sections),
                         .n_performers = COUNT(performers),
                         .n_faults = COUNT(faults),
                         .n_sets = COUNT(sets),
                         .n_dots = n,
                         .grid = *grid_named("college"),
                         .root = 0};
}

static void seconds_come_from_the_tempo_and_are_never_invented(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e;
    const struct show show = the_show(NULL, 0);
    struct plan_set *out = plan_show_sets(&show, all_moves, &a);
    assert_float_equal(out[1].play_s, 8 * 0.5 + 2, 1e-9); /* and its hold */
    assert_true(isnan(out[2].play_s));
    assert_true(plan_show_seconds("3:12.5", all_moves, out, &e));
    assert_float_equal(out[2].play_s, 12.5, 0);
    static const char *const wrong[] = {"3", "3:", "3:0", "3:x", "3:3601", "9:5"};
    for (size_t i = 0; i < COUNT(wrong); i++)
        assert_false(plan_show_seconds(wrong[i], all_moves, out, &e));
    assert_non_null(strstr(e.text, "no set '9'"));
    arena_free(&a);
}

static void steps_come_from_the_dots(void **state)
{
    (void)state;
    struct arena a = {0};
    struct dot dots[] = {
        {0, 0, 0, 0}, {0, 1, 8, 0},  {0, 2, 8, 16}, /* 8 steps across in 8 counts, 16 back in 16 */
        {1, 0, 0, 8}, {1, 1, 16, 8},                /* 16 across in 8: two a count */
    };
    const struct show show = the_show(dots, COUNT(dots));
    const struct plan_set *out = plan_show_sets(&show, all_moves, &a);
    assert_float_equal(out[0].step_in, 0, 0);
    assert_float_equal(out[1].step_in, 45, 1e-9);
    assert_false(out[1].backward);
    assert_float_equal(out[2].step_in, 22.5, 1e-9);
    assert_true(out[2].backward);
    assert_null(out[1].walk);
    dots[3] = (struct dot){1, 0, 8, 0}; /* through each other */
    dots[4] = (struct dot){1, 1, 0, 0};
    out = plan_show_sets(&show, all_moves, &a);
    assert_string_equal(out[1].walk, "T1 and U1 come within 0 in of each other near count 5");
    arena_free(&a);
}

static void a_move_that_nobody_steps_is_found(void **state)
{
    (void)state;
    struct arena a = {0};
    const struct plan_leap *leaps;
    struct dot dots[] = {
        {0, 0, 0, 0},
        {0, 1, 8 * 60 / 22.5, 0},
        {0, 2, 8 * 60 / 22.5, 8}, /* 60 in a step: the most */
        {1, 0, 0, 0},
        {1, 1, -68, 0},
        {1, 2, 100, 0}, /* 191.25, then 236.25 */
    };
    const struct show show = the_show(dots, COUNT(dots));
    assert_int_equal(plan_show_leaps(&show, &a, &leaps), 2);
    assert_true(leaps[0].performer == 1 && leaps[0].set == 2 && leaps[1].set == 1);
    assert_float_equal(leaps[0].step_in, 236.25, 1e-9);
    assert_float_equal(leaps[1].step_in, 191.25, 1e-9);
    arena_free(&a);
}

static void groups_are_the_sections_with_none_below(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e;
    struct plan_groups g;
    const struct show show = the_show(NULL, 0);
    static const char *const brass[] = {"brass"}, *const nobody[] = {"kazoos"};
    assert_true(plan_show_groups(&show, &(struct plan_attend){0}, &a, &g, &e));
    assert_int_equal(g.n, 3);
    assert_true(g.at[0].attends && g.at[1].attends && g.at[2].attends && g.at[0].apart);
    assert_int_equal(g.of_section[1], PLAN_EVERYONE);
    assert_int_equal(g.of_section[3], 1);
    assert_true(plan_show_groups(&show, &(struct plan_attend){brass, 1, true}, &a, &g, &e));
    assert_true(g.at[0].attends && g.at[1].attends && !g.at[2].attends && !g.at[0].apart);
    assert_false(plan_show_groups(&show, &(struct plan_attend){nobody, 1, false}, &a, &g, &e));
    arena_free(&a);
}

/* What is made of marks when these sections attend (NULL: everybody). False: e says why. */
struct gathered {
    struct arena a;
    struct show show;
    struct plan_groups groups;
    struct plan_set *sets;
    struct plan_report r;
    struct err e;
};

static bool gather(struct gathered *g, const char *with, const struct plan_mark *marks, size_t n)
{
    *g = (struct gathered){.show = the_show(NULL, 0)};
    g->sets = plan_show_sets(&g->show, all_moves, &g->a);
    const char *const names[] = {with};
    const struct plan_attend who = {names, with != NULL, false};
    assert_true(plan_show_groups(&g->show, &who, &g->a, &g->groups, &g->e));
    struct plan_gather *into = plan_gather_begin(&g->show, g->sets, &g->a);
    for (size_t i = 0; i < n; i++)
        plan_gather_add(into, &marks[i]);
    return plan_gather_end(into, &g->groups, &g->r, &g->e);
}

static void marks_of_one_fault_and_section_are_one_item(void **state)
{
    (void)state;
    struct gathered g;
    static const struct plan_mark marks[] = {
        {2, 1, 1, 2, 0, 1000000, 11, false, MARK_OPEN, false},
        {2, 1, 1, 2, 0, 1000000, 11, true, MARK_OPEN, false}, /* two of them */
        {2, 1, 2, 3, 0, 2000000, 12, false, MARK_OPEN, false},
        {2, 1, -1, 1, 0, 3000000, 13, false, MARK_OPEN, false},
        {2, 0, 1, 1, 0, 4000000, 14, false, MARK_OPEN, false}, /* the whole form's */
        {1, 1, 1, 1, 0, 5000000, 15, false, MARK_OPEN,
         false}, /* all brass: everybody has to be there */
        {4, 2, 2, 1, 0, 6000000, 16, false, MARK_OPEN, false},  /* a collision */
        {3, 1, -1, 1, 0, 7000000, 17, false, MARK_OPEN, false}, /* nobody knows where */
    };
    assert_true(gather(&g, NULL, marks, COUNT(marks)));
    assert_int_equal(g.r.in.n_items, 4);
    const struct plan_item *it = &g.r.in.items[0];
    assert_string_equal(it->name, "trumpets: slouch");
    assert_float_equal(it->weight, 5,
                       0); /* 2 + 3; the one without a set has nowhere to be mended */
    assert_int_equal(it->n_sets, 2);
    assert_float_equal(it->set_shares[1], 3, 0);
    assert_false(it->needs_all);
    assert_int_equal(g.r.targets[0].marks, 3);
    assert_int_equal(g.r.targets[0].n_moments, 3);
    assert_true(g.r.in.items[1].needs_all && g.r.in.items[1].group == 0);
    assert_true(g.r.in.items[2].needs_all && g.r.in.items[2].group == PLAN_EVERYONE);
    assert_false(g.r.in.items[2].nobody);
    assert_string_equal(g.sets[2].walk, "a near miss is marked in it");
    assert_int_equal(g.r.n_unplaced, 2); /* one of the trumpets' three, too */
    assert_int_equal(g.r.unplaced[0].section, 2);
    assert_int_equal(g.r.unplaced[0].marks, 1);
    assert_float_equal(g.r.open_weight, 2 + 3 + 1 + 1 + 1 + 1 + 1,
                       0); /* a mark of two counts once */
    assert_int_equal(g.r.unplaced[1].section, 3);
    arena_free(&g.a);
}

/* A repped mark counts half, a clean one nothing; what waits for a decision is no work at all, and
 * the staff is told. Which sets a section had most marks in, whatever became of them, is known. */
static void marks_that_are_not_open_count_less(void **state)
{
    (void)state;
    static const struct plan_mark marks[] = {
        {2, 1, 1, 2, 0, 1, 1, false, MARK_OPEN, false},
        {2, 1, 2, 3, 0, 2, 2, false, MARK_REPPED, false},
        {2, 1, 2, 3, 0, 3, 3, false, MARK_CLEAN, false},
        {2, 1, 1, 3, 0, 4, 4, false, MARK_OPEN, true},
        {3, 1, 2, 1, 0, 5, 5, false, MARK_CLEAN, false},
        {4, 2, 1, 3, 0, 6, 6, false, MARK_OPEN, true}, /* nothing but a question */
    };
    struct gathered g;
    assert_true(gather(&g, NULL, marks, COUNT(marks)));
    assert_int_equal(g.r.in.n_items, 1);
    assert_float_equal(g.r.in.items[0].weight, 2 + 3 * 0.5, 0);
    assert_float_equal(g.r.open_weight, 3.5, 0);
    assert_int_equal(g.r.targets[0].marks, 2);
    assert_int_equal(g.r.n_decide, 2);
    assert_int_equal(g.r.decide[0].section, 2);
    assert_int_equal(g.r.decide[0].marks, 1);
    assert_int_equal(g.r.decide[1].section, 4);
    const struct plan_group *trumpets = &g.groups.at[g.groups.of_section[2]];
    assert_int_equal(trumpets->n_least_clean, 2);
    assert_int_equal(trumpets->least_clean[0], 2); /* 3 + 3 against 2 + 3 */
    assert_true(g.groups.at[g.groups.of_section[3]].there);
    arena_free(&g.a);
    assert_false(gather(&g, NULL, marks + 5, 1));
    assert_non_null(strstr(g.e.text, "waits for a decision of the staff"));
    arena_free(&g.a);
}

/* A remark on all brass is no work for a rehearsal of the guard. */
static void an_item_of_a_section_attends_when_somebody_of_it_does(void **state)
{
    (void)state;
    static const struct row {
        const char *with;
        bool brass; /* nobody of it is there; of the band somebody always is */
    } rows[] = {{"guard", true}, {"tubas", false}, {"brass", false}, {"band", false}};
    static const struct plan_mark marks[] = {{0, 1, 1, 1, 0, 1, 1, false, MARK_OPEN, false},
                                             {1, 1, 1, 1, 0, 1, 2, false, MARK_OPEN, false}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct gathered g;
        assert_true(gather(&g, rows[i].with, marks, COUNT(marks)));
        assert_false(g.r.in.items[0].nobody);
        assert_int_equal(g.r.in.items[1].nobody, rows[i].brass);
        arena_free(&g.a);
    }
}

static void nothing_open_is_nothing_to_plan(void **state)
{
    (void)state;
    static const struct plan_mark nowhere = {2, 1, -1, 1, 0, 1, 1, false, MARK_OPEN, false};
    struct gathered g;
    assert_false(gather(&g, NULL, NULL, 0));
    assert_non_null(strstr(g.e.text, "nothing is open"));
    arena_free(&g.a);
    assert_false(gather(&g, NULL, &nowhere, 1));
    assert_non_null(strstr(g.e.text, "no open mark knows its set"));
    arena_free(&g.a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(seconds_come_from_the_tempo_and_are_never_invented),
        cmocka_unit_test(steps_come_from_the_dots),
        cmocka_unit_test(a_move_that_nobody_steps_is_found),
        cmocka_unit_test(groups_are_the_sections_with_none_below),
        cmocka_unit_test(marks_of_one_fault_and_section_are_one_item),
        cmocka_unit_test(marks_that_are_not_open_count_less),
        cmocka_unit_test(an_item_of_a_section_attends_when_somebody_of_it_does),
        cmocka_unit_test(nothing_open_is_nothing_to_plan),
    };
    return cmocka_run_group_tests_name("from the show", tests, NULL, NULL);
}
