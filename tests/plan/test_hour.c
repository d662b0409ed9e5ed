/* Any hour of a plan holds the rest that the heat policy asks for, or there is no plan and the line
 * says what to shorten. The figures are those of share/heat-policy.csv (its source is in it and in
 * test_policy.c). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "draw.h"
#include "hour.h"
#include "plan/edit.h"
#include "plan/policy.h"
#include "sys/file.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

enum { LAYOUTS = 600 };

static struct policy shipped;
static struct arena kept;
static const double bands[] = {75, 85, 88.5, 91}; /* one reading for each row with work outdoors */

static int read_shipped(void **state)
{
    (void)state;
    struct buf text = {0};
    struct err e = {0};
    const bool ok = file_read(SHARE_DIR "/heat-policy.csv", 100000, &text, &e) &&
                    policy_parse(&(struct table_text){text.p, text.n, "heat-policy.csv", NULL},
                                 &kept, &shipped, &e);
    buf_free(&text);
    return ok ? 0 : -1;
}

static int free_shipped(void **state)
{
    (void)state;
    arena_free(&kept);
    return 0;
}

static uint32_t seed;
static int below(int n)
{
    seed = seed * 1664525u + 1013904223u;
    return (int)(((uint64_t)seed * (uint64_t)n) >> 32);
}

/* --- layouts --------------------------------------------------------------------------------- */

enum { FIXED_MOST = 4 };

struct layout {
    struct draw d;
    struct plan_fixed fixed[FIXED_MOST];
    char names[FIXED_MOST][8];
    double wbgt;
};

static void heat_of(struct layout *l, double wbgt)
{
    struct err e = {0};
    l->wbgt = wbgt;
    if (!policy_breaks(&shipped, (struct policy_stay){wbgt, l->d.in.rules.minutes}, &kept,
                       &l->d.in.rules.breaks, &e))
        fail_msg("%s", e.text);
}

/* Items at the front and the back, and one in the middle of what they leave. */
static void draw_fixed(struct layout *l)
{
    struct plan_input *in = &l->d.in;
    int front = 0, back = 0, minutes = in->rules.minutes;
    in->n_fixed = (size_t)below(FIXED_MOST + 1);
    for (size_t i = 0; i < in->n_fixed; i++) {
        const int room = minutes - front - back;
        struct plan_fixed *f = &l->fixed[i];
        snprintf(l->names[i], sizeof l->names[i], "item%zu", i);
        *f = (struct plan_fixed){.name = l->names[i], .rest = below(5) == 0};
        f->minutes = 1 + below(room > 50 ? 50 : room > 1 ? room : 1);
        f->where = below(2) ? PLAN_LAST : PLAN_FIRST;
        if (room <= f->minutes) {
            in->n_fixed = i;
            break;
        }
        *(f->where == PLAN_FIRST ? &front : &back) += f->minutes;
        if (i == in->n_fixed - 1 && below(2) && f->minutes > 0) {
            *(f->where == PLAN_FIRST ? &front : &back) -= f->minutes;
            f->where = PLAN_AT;
            f->at_min =
                (in->rules.start_min + front + below(minutes - front - back - f->minutes + 1)) %
                (24 * 60);
        }
    }
    in->fixed = l->fixed;
}

static void draw_layout(struct layout *l, uint32_t number, double wbgt)
{
    static const int usual[] = {60, 60, 90, 120, 45, 59, 61};
    const bool hot = wbgt >= 90, warm = wbgt >= 87;
    seed = number * 2654435761u + 17;
    const int most = hot ? 60 : warm ? 120 : 200;
    int minutes = below(2) ? usual[below(COUNT(usual))] : 5 + below(most - 4);
    minutes = minutes > most ? most : minutes;
    const struct draw_size size = {.sets = 4 + below(5),
                                   .items = 4 + below(8),
                                   .groups = below(4),
                                   .minutes = minutes,
                                   .chunk_sets = 1 + below(4),
                                   .most_reps = 1 + below(12)};
    draw_rehearsal(&l->d, number, &size);
    l->d.in.rules.start_min = below(24 * 60);
    heat_of(l, wbgt);
    draw_fixed(l);
}

/* --- what is asked of every layout ------------------------------------------------------------ */

static int n_kept, n_refused;

static bool make(const struct layout *l, const struct plan_wishes *w, struct arena *a,
                 struct plan *out, struct err *e)
{
    struct plan_input in = l->d.in;
    in.wishes = w ? w->at : NULL;
    in.n_wishes = w ? w->n : 0;
    return plan_make(&in, a, out, e);
}

static void must_keep(const struct layout *l, uint32_t number, const struct plan *plan)
{
    char why[200];
    if (!keeps_hour(plan, &l->d.in.rules.breaks, why))
        fail_msg("layout %u at %g: %s", number, l->wbgt, why);
}

static bool is_rest(const struct plan_block *b)
{
    return b->kind == PLAN_BREAK || (b->kind == PLAN_FIXED && b->rest);
}

/* A break that is too short to count, and part of no longer rest, is time for a rep. */
static void no_break_is_for_nothing(const struct layout *l, uint32_t number,
                                    const struct plan *plan)
{
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        bool joined = false;
        for (size_t k = 0; k < plan->n_blocks; k++) {
            const struct plan_block *c = &plan->blocks[k];
            joined |= is_rest(c) && (c->start_s + c->seconds == b->start_s ||
                                     b->start_s + b->seconds == c->start_s);
        }
        if (b->kind == PLAN_BREAK && !joined && b->seconds < l->d.in.rules.breaks.hour.least_s)
            fail_msg("layout %u at %g: a break of %d s", number, l->wbgt, b->seconds);
    }
}

/* Too few minutes for a block, however short the items are. */
static void nothing_helps(struct layout *l, uint32_t number, const char *text)
{
    const struct layout before = *l;
    struct arena a = {0};
    struct plan plan;
    struct err e = {0};
    for (size_t i = 0; i < l->d.in.n_fixed; i++)
        l->fixed[i].minutes = l->fixed[i].rest ? l->fixed[i].minutes : 1;
    if (!strstr(text, "take more minutes") || make(l, NULL, &a, &plan, &e))
        fail_msg("layout %u at %g: nothing to shorten in '%s'", number, l->wbgt, text);
    memcpy(l->fixed, before.fixed, sizeof l->fixed);
    arena_free(&a);
}

/* The numbers that the line proposes: "shorten item0 from 30 to 12 min". They must work; after
 * "or" stands another way. */
static void follow_advice(struct layout *l, uint32_t number, const char *text)
{
    const struct layout before = *l;
    const char *at = strstr(text, "shorten ");
    if (!at) {
        nothing_helps(l, number, text);
        return;
    }
    for (at += strlen("shorten "); at; at = strstr(at, " or ") ? strstr(at, " or ") + 4 : NULL) {
        char name[8];
        int from, to, used = 0;
        memcpy(l->fixed, before.fixed, sizeof l->fixed);
        while (sscanf(at, "%7s from %d to %d min%n", name, &from, &to, &used) == 3 && used) {
            struct plan_fixed *f = l->fixed;
            while (strcmp(f->name, name) != 0)
                f++;
            assert_int_equal(f->minutes, from);
            assert_true(to >= 1 && to < from && !f->rest);
            f->minutes = to;
            at += used + strspn(at + used, " ,");
            at += strncmp(at, "and ", 4) == 0 ? 4 : 0;
            used = 0;
        }
        if (memcmp(l->fixed, before.fixed, sizeof l->fixed) == 0)
            break; /* words, not a number */
        struct arena a = {0};
        struct plan plan;
        struct err e = {0};
        if (!make(l, NULL, &a, &plan, &e))
            fail_msg("layout %u at %g: '%s' was followed: %s", number, l->wbgt, text, e.text);
        must_keep(l, number, &plan);
        arena_free(&a);
    }
    memcpy(l->fixed, before.fixed, sizeof l->fixed);
}

/* Somebody turns keys on the plan: more and fewer reps, other places, kept and dropped blocks. */
static void edit(const struct layout *l, uint32_t number, const struct plan *first)
{
    struct plan_wishes w = {0};
    struct arena a = {0};
    struct plan plan = *first;
    struct err e = {0};
    for (int i = 0; i < 4 && plan.n_blocks; i++) {
        const size_t block = (size_t)below((int)plan.n_blocks);
        const struct plan_spot at = {block, (size_t)below((int)plan.blocks[block].n_list + 1)};
        const int how = below(4);
        const bool ok = how == 0   ? plan_edit_reps(&w, &plan, at, 1 + below(9), &e)
                        : how == 1 ? plan_edit_move(&w, &plan, at, below(4), &e)
                        : how == 2 ? plan_edit_drop(&w, &plan, at, &e)
                                   : plan_edit_keep(&w, &plan, at, &e);
        struct plan next;
        if (!ok || !make(l, &w, &a, &next, &e))
            break;
        must_keep(l, number, &next);
        plan = next;
    }
    plan_wishes_free(&w);
    arena_free(&a);
}

static bool only_rest_is_fixed(const struct layout *l)
{
    for (size_t i = 0; i < l->d.in.n_fixed; i++)
        if (!l->fixed[i].rest)
            return false;
    return true;
}

static void judge(struct layout *l, uint32_t number)
{
    struct arena a = {0};
    struct plan plan;
    struct err e = {0};
    if (make(l, NULL, &a, &plan, &e)) {
        must_keep(l, number, &plan);
        no_break_is_for_nothing(l, number, &plan);
        edit(l, number, &plan);
        n_kept++;
    } else if (only_rest_is_fixed(l)) {
        if (!strstr(e.text, "no room for one block"))
            fail_msg("layout %u at %g: '%s'", number, l->wbgt, e.text);
    } else {
        follow_advice(l, number, e.text);
        n_refused++;
    }
    arena_free(&a);
}

static void any_hour_of_any_plan_holds_its_rest_or_there_is_none(void **state)
{
    (void)state;
    static struct layout l;
    for (size_t b = 0; b < COUNT(bands); b++) {
        n_kept = n_refused = 0;
        for (uint32_t number = 1; number <= LAYOUTS; number++) {
            draw_layout(&l, number, bands[b]);
            judge(&l, number);
        }
        print_message("WBGT %g: %d plans kept, %d refused of %d\n", bands[b], n_kept, n_refused,
                      LAYOUTS);
        assert_true(n_kept > LAYOUTS / 3); /* refusing everything is no answer either */
        assert_true(n_refused > 0);
    }
}

/* --- by hand --------------------------------------------------------------------------------- */

static void by_hand(struct layout *l, int minutes, double wbgt)
{
    const struct draw_size size = {
        .sets = 6, .items = 12, .minutes = minutes, .chunk_sets = 2, .most_reps = 60};
    draw_rehearsal(&l->d, 5, &size);
    l->d.in.fixed = l->fixed;
    heat_of(l, wbgt);
}

/* 91 °F asks 20 min; 50 fixed minutes leave 10. 40 would leave 20 for rest and none for a rep. */
static void what_leaves_no_room_is_named_with_a_length_that_does(void **state)
{
    (void)state;
    static struct layout l;
    struct plan plan;
    struct err e = {0};
    by_hand(&l, 60, 91);
    l.fixed[0] = (struct plan_fixed){.name = "item0", .minutes = 50};
    l.d.in.n_fixed = 1;
    assert_false(make(&l, NULL, &kept, &plan, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_non_null(strstr(e.text, "20 min of rest in any 60 min"));
    assert_non_null(strstr(e.text, "shorten item0 from 50 to 3"));
    assert_non_null(strstr(e.text, "athletic trainer"));
    follow_advice(&l, 0, e.text);
}

static void items_that_only_together_are_too_long_are_all_named(void **state)
{
    (void)state;
    static struct layout l;
    struct plan plan;
    struct err e = {0};
    by_hand(&l, 60, 91);
    l.fixed[0] = (struct plan_fixed){.name = "item0", .minutes = 29};
    l.fixed[1] = (struct plan_fixed){.name = "item1", .minutes = 29, .where = PLAN_LAST};
    l.d.in.n_fixed = 2;
    assert_false(make(&l, NULL, &kept, &plan, &e));
    follow_advice(&l, 0, e.text);
}

static void an_item_that_is_rest_counts_as_rest(void **state)
{
    (void)state;
    static struct layout l;
    struct plan plan;
    struct err e = {0};
    char why[200];
    by_hand(&l, 60, 91);
    l.fixed[0] = (struct plan_fixed){.name = "item0", .minutes = 35};
    l.fixed[1] = (struct plan_fixed){
        .name = "talk", .minutes = 10, .where = PLAN_AT, .at_min = 18 * 60 + 40};
    l.d.in.n_fixed = 2;
    assert_false(make(&l, NULL, &kept, &plan, &e)); /* 15 of 20 min are free */
    l.fixed[1].rest = true;
    assert_true(make(&l, NULL, &kept, &plan, &e));
    bool said = false;
    for (size_t i = 0; i < plan.n_cautions; i++)
        said |= strstr(plan.cautions[i], "any 60 min of this plan hold at least 20 min") != NULL;
    assert_true(said);
    assert_true(keeps_hour(&plan, &l.d.in.rules.breaks, why));
    int breaks_s = 0;
    for (size_t i = 0; i < plan.n_blocks; i++)
        breaks_s += plan.blocks[i].kind == PLAN_BREAK ? plan.blocks[i].seconds : 0;
    assert_true(breaks_s >= 10 * 60 && breaks_s < 15 * 60);
}

/* 85 °F asks three breaks of 4 min. With 26 fixed minutes of rest one of them makes half of the
 * hour rest, and then fewer will do. */
static void where_half_of_the_time_is_rest_fewer_breaks_will_do(void **state)
{
    (void)state;
    static struct layout l;
    struct plan plan;
    struct err e = {0};
    by_hand(&l, 60, 85);
    l.fixed[0] = (struct plan_fixed){.name = "talk", .minutes = 26, .rest = true};
    l.d.in.n_fixed = 1;
    assert_true(make(&l, NULL, &kept, &plan, &e));
    int breaks_s = 0;
    for (size_t i = 0; i < plan.n_blocks; i++)
        breaks_s += plan.blocks[i].kind == PLAN_BREAK ? plan.blocks[i].seconds : 0;
    assert_in_range(breaks_s, 4 * 60, 5 * 60);
}

/* Without fixed items the breaks stand in the policy's rhythm: 17 + 3, 16 + 4, 11 + 4, 10 + 5. */
static void nothing_fixed_leaves_the_rhythm(void **state)
{
    (void)state;
    static const int due_min[] = {17, 16, 11, 10}, long_min[] = {3, 4, 4, 5};
    for (size_t b = 0; b < COUNT(bands); b++) {
        static struct layout l;
        struct plan plan;
        struct err e = {0};
        by_hand(&l, 60, bands[b]);
        assert_true(make(&l, NULL, &kept, &plan, &e));
        int ends = 0;
        for (size_t i = 0; i < plan.n_blocks; i++) {
            if (plan.blocks[i].kind != PLAN_BREAK)
                continue;
            ends += (due_min[b] + long_min[b]) * 60;
            assert_int_equal(plan.blocks[i].start_s + plan.blocks[i].seconds, ends);
        }
        assert_int_equal(ends, 3600);
    }
}

/* The checker itself: an hour with 20 min of rest at its end, then ten of work. */
static void the_checker_finds_what_is_short(void **state)
{
    (void)state;
    struct plan_block blocks[] = {{.kind = PLAN_REP, .seconds = 2400},
                                  {.kind = PLAN_BREAK, .start_s = 2400, .seconds = 1200},
                                  {.kind = PLAN_REP, .start_s = 3600, .seconds = 600}};
    const struct plan plan = {.seconds = 4200, .blocks = blocks, .n_blocks = 3};
    struct heat_breaks asks = {.work_most_s = 600, .hour = {1200, 1, 180}};
    char why[200];
    assert_true(keeps_hour(&plan, &asks, why));
    asks.hour.rest_s = 1201;
    assert_false(keeps_hour(&plan, &asks, why));
    asks.hour = (struct heat_hour){1200, 2, 180};
    assert_false(keeps_hour(&plan, &asks, why));
    asks.hour = (struct heat_hour){1200, 1, 1201};
    assert_false(keeps_hour(&plan, &asks, why));
    asks.hour = (struct heat_hour){1200, 1, 180};
    blocks[0].seconds = blocks[1].start_s =
        2340; /* whole in the first and in the last 60 minutes */
    assert_true(keeps_hour(&plan, &asks, why));
    blocks[0].seconds = blocks[1].start_s = 599; /* the 60 minutes from second 600 lose a second */
    assert_false(keeps_hour(&plan, &asks, why));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_checker_finds_what_is_short),
        cmocka_unit_test(any_hour_of_any_plan_holds_its_rest_or_there_is_none),
        cmocka_unit_test(what_leaves_no_room_is_named_with_a_length_that_does),
        cmocka_unit_test(items_that_only_together_are_too_long_are_all_named),
        cmocka_unit_test(an_item_that_is_rest_counts_as_rest),
        cmocka_unit_test(where_half_of_the_time_is_rest_fewer_breaks_will_do),
        cmocka_unit_test(nothing_fixed_leaves_the_rhythm),
    };
    return cmocka_run_group_tests(tests, read_shipped, free_shipped);
}
