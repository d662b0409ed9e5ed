#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "rank/stat_stretch.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static void assert_stretches(const struct stat_stretch *got, size_t n,
                             const struct stat_stretch *want, size_t n_want)
{
    assert_int_equal(n, n_want);
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(got[i].from, want[i].from);
        assert_int_equal(got[i].to, want[i].to);
    }
}

static void overlapping_and_touching_stretches_become_one(void **state)
{
    (void)state;
    struct stat_stretch list[] = {{50, 60}, {0, 10},  {10, 20}, {15, 18},
                                  {58, 70}, {30, 30}, {9, 2}};
    const struct stat_stretch want[] = {{0, 20}, {50, 70}};
    const size_t n = stat_stretch_merge(list, COUNT(list));
    assert_stretches(list, n, want, 2);
    assert_int_equal(stat_stretch_total(list, n), 40);
    assert_int_equal(stat_stretch_merge(list, 0), 0);
}

static void subtracting_leaves_what_was_not_watched(void **state)
{
    (void)state;
    const struct stat_stretch clip[] = {{0, 100}, {200, 300}};
    const struct stat_stretch seen[] = {{-5, 10}, {20, 30}, {30, 40}, {90, 210}, {299, 400}};
    const struct stat_stretch want[] = {{10, 20}, {40, 90}, {210, 299}};
    struct stat_stretch out[7];
    const size_t n = stat_stretch_subtract(clip, 2, seen, COUNT(seen), out);
    assert_stretches(out, n, want, COUNT(want));
    assert_int_equal(stat_stretch_subtract(clip, 2, clip, 2, out), 0);
    assert_int_equal(stat_stretch_subtract(clip, 2, NULL, 0, out), 2);
}

enum { LINE = 64 };

static uint32_t draw(uint32_t *seed, uint32_t below)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (*seed >> 16) % below;
}

static size_t random_stretches(uint32_t *seed, struct stat_stretch *list, unsigned char *points)
{
    const size_t n = draw(seed, 8);
    for (size_t i = 0; i < n; i++) {
        const int64_t from = draw(seed, LINE), to = from + draw(seed, 12);
        list[i] = (struct stat_stretch){from, to < LINE ? to : LINE};
        for (int64_t t = list[i].from; t < list[i].to; t++)
            points[t] = 1;
    }
    return stat_stretch_merge(list, n);
}

static void stretches_equal_sets_of_single_moments(void **state)
{
    (void)state;
    uint32_t seed = 3;
    for (int round = 0; round < 500; round++) {
        struct stat_stretch a[8], b[8], out[16];
        unsigned char in_a[LINE] = {0}, in_b[LINE] = {0}, in_out[LINE] = {0};
        const size_t n_a = random_stretches(&seed, a, in_a);
        const size_t n_b = random_stretches(&seed, b, in_b);
        const size_t n = stat_stretch_subtract(a, n_a, b, n_b, out);
        int64_t total = 0;
        for (size_t i = 0; i < n; i++) {
            assert_true(out[i].from < out[i].to && (i == 0 || out[i].from > out[i - 1].to));
            for (int64_t t = out[i].from; t < out[i].to; t++)
                in_out[t] = 1;
        }
        for (int t = 0; t < LINE; t++) {
            assert_int_equal(in_out[t], in_a[t] && !in_b[t]);
            total += in_out[t];
        }
        assert_int_equal(stat_stretch_total(out, n), total);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(overlapping_and_touching_stretches_become_one),
        cmocka_unit_test(subtracting_leaves_what_was_not_watched),
        cmocka_unit_test(stretches_equal_sets_of_single_moments),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
