/* Nothing changed between two rehearsals: how often does a comparison say that something did? */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "rank/compare.h"

enum { REPORTS = 1000 };

static double chance(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

/* Knuth, The Art of Computer Programming 2, 3.4.1: how many uniforms until their product is small. */
static int poisson(double mean, uint64_t *seed)
{
    const double least = exp(-mean);
    int n = 0;
    for (double x = chance(seed); x > least; x *= chance(seed))
        n++;
    return n;
}

static bool claims(const struct change *c)
{
    return c->verdict == VERDICT_FIXED || c->verdict == VERDICT_FEWER ||
           c->verdict == VERDICT_MORE || c->verdict == VERDICT_NEW;
}

/* Reports of so many lines, spread over sections; means of 0.1 to 10 marks, from 40 and 55 minutes. */
static int false_reports(int lines, uint64_t *seed)
{
    int wrong = 0;
    for (int round = 0; round < REPORTS; round++) {
        struct arena a = {0};
        struct change *at = arena_alloc(&a, (size_t)lines * sizeof *at);
        struct compared parts[3] = {{.changes = at, .n = (size_t)lines / 3},
                                    {.changes = at + lines / 3, .n = 0},
                                    {.changes = at + lines / 3, .n = (size_t)(lines - lines / 3)}};
        struct comparison c = {.parts = parts, .n_parts = 3};
        for (int i = 0; i < lines; i++) {
            const double mean = 0.1 * pow(100, chance(seed));
            at[i] = rank_change(i, poisson(mean * 40 / 50, seed), 40, poisson(mean * 55 / 50, seed),
                                55);
        }
        rank_settle(&c, &a);
        bool any = false;
        for (int i = 0; i < lines; i++)
            any |= claims(&at[i]);
        wrong += any;
        arena_free(&a);
    }
    return wrong;
}

static void of_nothing_something_is_said_in_one_report_of_twenty_at_most(void **state)
{
    (void)state;
    static const int lines[] = {1, 5, 20, 60, 150};
    uint64_t seed = 2026;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        const int wrong = false_reports(lines[i], &seed);
        if (wrong > REPORTS / 20)
            fail_msg("%d of %d reports of %d lines claim a change", wrong, REPORTS, lines[i]);
    }
}

static void a_change_that_is_large_is_still_said(void **state)
{
    (void)state;
    struct arena a = {0};
    struct change at[40];
    struct compared part = {.changes = at, .n = 40};
    struct comparison c = {.parts = &part, .n_parts = 1};
    for (int i = 0; i < 40; i++)
        at[i] = rank_change(i, 4, 45, 4, 45);
    at[0] = rank_change(0, 40, 45, 8, 45);
    at[1] = rank_change(1, 25, 45, 0, 45);
    at[2] = rank_change(2, 0, 45, 25, 45);
    at[3] = rank_change(3, 0, 45, 2, 45);
    at[4] = rank_change(4, 3, 0, 0, 45);
    rank_settle(&c, &a);
    assert_int_equal(at[0].verdict, VERDICT_FEWER);
    assert_int_equal(at[1].verdict, VERDICT_FIXED);
    assert_int_equal(at[2].verdict, VERDICT_NEW);
    assert_int_equal(at[3].verdict, VERDICT_FIRST);
    assert_int_equal(at[4].verdict, VERDICT_UNSEEN); /* not tested */
    assert_int_equal(at[5].verdict, VERDICT_SAME);
    assert_true(at[0].p > at[0].rates.p);
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(of_nothing_something_is_said_in_one_report_of_twenty_at_most),
        cmocka_unit_test(a_change_that_is_large_is_still_said),
    };
    return cmocka_run_group_tests_name("comparisons", tests, NULL, NULL);
}
