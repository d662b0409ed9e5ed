/* How many marks it takes to see a change: against the test itself, outcome by outcome. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "rank/stat.h"
#include "rank/stat_power.h"

static double poisson(unsigned k, double mean)
{
    return exp(k * log(mean) - mean - lgamma(k + 1.0));
}

/* The share of all pairs of counts that stat_two_rates() calls different, one by one. */
static double power_of_the_test(const struct stat_power_ask *a, double mean)
{
    const double after = mean * a->ratio * a->t2 / a->t1;
    double power = 0;
    for (unsigned x2 = 0; x2 < mean + 7 * sqrt(mean) + 7; x2++)
        for (unsigned x1 = 0; x1 < after + 7 * sqrt(after) + 7; x1++)
            if (stat_two_rates(x1, a->t2, x2, a->t1, 0.95).p <= a->level)
                power += poisson(x1, after) * poisson(x2, mean);
    return power;
}

static const struct stat_power_ask rows[] = {
    {45, 50, 0.5, 0.05, 1, 1, 0.8}, {10, 10, 0.5, 0.05, 1, 1, 0.8}, {10, 5, 0.5, 0.01, 1, 1, 0.8},
    {5, 10, 0.5, 0.05, 1, 1, 0.9},  {10, 10, 2, 0.05, 1, 1, 0.8},
};

static void the_test_sees_it_from_that_many_on(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double n = stat_power_count(&rows[i]);
        assert_true(fabs(power_of_the_test(&rows[i], n) - rows[i].power) < 0.02);
        assert_true(power_of_the_test(&rows[i], n * 0.8) < rows[i].power - 0.03);
        assert_true(power_of_the_test(&rows[i], n * 1.25) > rows[i].power + 0.03);
    }
}

/* The normal theory of the difference of two logarithms of rates (any textbook): the variance of
 * each is one by its count. Where the two exposures are about alike; it leans when they are not. */
static void it_is_near_what_normal_theory_says(void **state)
{
    (void)state;
    const double z_level = 1.959964, z_power = 0.841621;
    for (double t2 = 0.8; t2 < 1.3; t2 += 0.1) {
        const struct stat_power_ask ask = {1, t2, 0.5, 0.05, 1, 1, 0.8};
        const double want = (1 + 1 / (0.5 * t2)) * pow((z_level + z_power) / log(2), 2);
        assert_true(fabs(stat_power_count(&ask) / want - 1) < 0.06);
    }
}

static void allowances_ask_for_more(void **state)
{
    (void)state;
    struct stat_power_ask ask = {10, 10, 0.5, 0.05, 1, 1, 0.8};
    const double one = stat_power_count(&ask);
    ask.dispersion = 2;
    assert_true(stat_power_count(&ask) == 2 * one);
    ask.dispersion = 1;
    ask.level = 0.05 / 40;
    assert_true(stat_power_count(&ask) > 1.5 * one);
    ask.level = 0.05;
    ask.spread = 1.3 / 0.7; /* half is hardly beyond it */
    assert_true(isinf(stat_power_count(&ask)));
    ask.spread = 1.2;
    assert_true(stat_power_count(&ask) > 1.3 * one && !isinf(stat_power_count(&ask)));
}

/* A minute against three quarters of an hour, and worse: an answer, and at once. */
static void exposures_far_apart_are_answered(void **state)
{
    (void)state;
    /* The rate after is as good as known: the count before is Poisson with a mean of n, or of n / 2
     * when nothing changed. n / 2 = 1.96 sqrt(n / 2) + 0.84 sqrt(n) gives 20 by normal theory. */
    const struct stat_power_ask far = {1, 1000, 0.5, 0.05, 1, 1, 0.8};
    const double n = stat_power_count(&far);
    assert_true(n > 18 && n < 30);
    assert_true(stat_power_count(&(struct stat_power_ask){1000, 1, 0.5, 0.05, 1, 1, 0.8}) > 1000);
    const struct stat_power_ask absurd = {1e-9, 1e9, 0.5, 0.05, 1, 1, 0.8};
    assert_true(isinf(stat_power_count(&absurd)));
}

static void what_cannot_be_asked_has_no_answer(void **state)
{
    (void)state;
    static const struct stat_power_ask none[] = {
        {0, 10, 0.5, 0.05, 1, 1, 0.8},  {10, 0, 0.5, 0.05, 1, 1, 0.8},
        {10, 10, 1, 0.05, 1, 1, 0.8},   {10, 10, 0.5, 0, 1, 1, 0.8},
        {10, 10, 0.5, 0.05, 1, 1, 1},   {10, 10, 0.5, 0.05, 0.5, 1, 0.8},
        {10, 10, 0.5, 0.05, 1, 0, 0.8}, {NAN, 10, 0.5, 0.05, 1, 1, 0.8},
    };
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        assert_true(isnan(stat_power_count(&none[i])));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_test_sees_it_from_that_many_on),
        cmocka_unit_test(it_is_near_what_normal_theory_says),
        cmocka_unit_test(allowances_ask_for_more),
        cmocka_unit_test(exposures_far_apart_are_answered),
        cmocka_unit_test(what_cannot_be_asked_has_no_answer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
