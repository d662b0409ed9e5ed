#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "rank/stat.h"
#include "rank/stat_brackets.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

/* R 4.2.2: binom.test for all 45 pairs, p.adjust(, "BH"): 27 pairs at or under 0.05, the largest
 * p among them 0.021484375, the next one 0.0540760318589. */
static void brackets_join_what_r_does_not_tell_apart(void **state)
{
    (void)state;
    const unsigned counts[10] = {41, 33, 30, 16, 12, 9, 9, 4, 2, 1};
    const struct stat_bracket want[] = {
        {0, 2}, {2, 3}, {3, 6}, {4, 7}, {5, 8}, {7, 9},
    };
    struct arena a = {0};
    struct stat_brackets got;
    struct err e = {0};
    assert_true(stat_brackets((struct stat_ranked){counts, 10, 0.05}, &a, &got, &e));
    assert_int_equal(got.n, COUNT(want));
    for (size_t i = 0; i < COUNT(want); i++) {
        assert_int_equal(got.list[i].first, want[i].first);
        assert_int_equal(got.list[i].last, want[i].last);
    }
    assert_true(got.cut >= 0.021484375 && got.cut < 0.0540760318589);
    arena_free(&a);
}

static int falling(const void *a, const void *b)
{
    const unsigned x = *(const unsigned *)a, y = *(const unsigned *)b;
    return (x < y) - (x > y);
}

/* joined[i * n + j]: all pairs tested one by one, adjusted together. */
static void join_by_definition(const unsigned *counts, size_t n, double level,
                               unsigned char *joined)
{
    double *p = calloc(n * n, sizeof *p);
    size_t pairs = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; j < n; j++)
            p[pairs++] = stat_binomial_p(counts[i], counts[i] + counts[j], 0.5);
    stat_bh_adjust(p, pairs, p);
    pairs = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; j < n; j++)
            joined[i * n + j] = p[pairs++] > level;
    free(p);
}

static void check_against_definition(const unsigned *counts, size_t n)
{
    unsigned char *joined = calloc(n * n, 1), *covered = calloc(n * n, 1);
    join_by_definition(counts, n, 0.05, joined);
    struct arena a = {0};
    struct stat_brackets got;
    struct err e = {0};
    assert_true(stat_brackets((struct stat_ranked){counts, n, 0.05}, &a, &got, &e));
    for (size_t b = 0; b < got.n; b++) {
        assert_true(b == 0 || (got.list[b].first > got.list[b - 1].first &&
                               got.list[b].last > got.list[b - 1].last));
        for (size_t i = got.list[b].first; i <= got.list[b].last; i++)
            for (size_t j = i + 1; j <= got.list[b].last; j++)
                covered[i * n + j] = 1;
    }
    assert_memory_equal(joined, covered, n * n);
    arena_free(&a);
    free(joined);
    free(covered);
}

static void brackets_equal_the_test_of_every_pair(void **state)
{
    (void)state;
    uint32_t seed = 7;
    for (int round = 0; round < 60; round++) {
        unsigned counts[25];
        const size_t n = 2 + (size_t)round % 24;
        for (size_t i = 0; i < n; i++) {
            seed = seed * 1664525u + 1013904223u;
            counts[i] = (seed >> 16) % (round % 3 == 0 ? 6 : round % 3 == 1 ? 40 : 400);
        }
        qsort(counts, n, sizeof *counts, falling);
        check_against_definition(counts, n);
    }
}

static void equal_counts_are_one_bracket_and_clear_steps_are_none(void **state)
{
    (void)state;
    struct arena a = {0};
    struct stat_brackets got;
    struct err e = {0};
    const unsigned same[5] = {4, 4, 4, 4, 4}, steps[3] = {1000, 100, 10};
    assert_true(stat_brackets((struct stat_ranked){same, 5, 0.05}, &a, &got, &e));
    assert_int_equal(got.n, 1);
    assert_int_equal(got.list[0].last, 4);
    assert_true(stat_brackets((struct stat_ranked){steps, 3, 0.05}, &a, &got, &e));
    assert_int_equal(got.n, 0);
    assert_true(stat_brackets((struct stat_ranked){steps, 1, 0.05}, &a, &got, &e));
    assert_int_equal(got.n, 0);
    assert_true(stat_brackets((struct stat_ranked){NULL, 0, 0.05}, &a, &got, &e));
    assert_int_equal(got.n, 0);
    arena_free(&a);
}

static void a_list_out_of_order_is_refused(void **state)
{
    (void)state;
    struct arena a = {0};
    struct stat_brackets got;
    struct err e = {0};
    const unsigned rising[3] = {5, 3, 4};
    assert_false(stat_brackets((struct stat_ranked){rising, 3, 0.05}, &a, &got, &e));
    assert_non_null(strstr(e.text, "item 3"));
    assert_false(stat_brackets((struct stat_ranked){rising, 2, 1.0}, &a, &got, &e));
    assert_non_null(strstr(e.text, "level"));
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(brackets_join_what_r_does_not_tell_apart),
        cmocka_unit_test(brackets_equal_the_test_of_every_pair),
        cmocka_unit_test(equal_counts_are_one_bracket_and_clear_steps_are_none),
        cmocka_unit_test(a_list_out_of_order_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
