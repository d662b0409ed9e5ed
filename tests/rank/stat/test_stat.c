/* Reference: R 4.2.2 (poisson.test, binom.test, prop.test(correct=FALSE), p.adjust), values
 * recorded from its output unless a line says otherwise. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "rank/stat.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static void assert_near(double got, double want, double relative)
{
    if (isnan(want)) {
        assert_true(isnan(got));
        return;
    }
    if (isinf(want) || want == 0) {
        assert_true(got == want);
        return;
    }
    if (!(fabs(got - want) <= relative * fabs(want)))
        fail_msg("got %.12g, want %.12g", got, want);
}

static void garwood_interval_equals_poisson_test(void **state)
{
    (void)state;
    static const struct {
        unsigned k;
        double level, low, high;
    } rows[] = {
        {0, 0.95, 0, 3.6888794541},
        {1, 0.95, 0.0253178080, 5.5716433909},
        {2, 0.95, 0.2422092785, 7.2246876677},
        {5, 0.95, 1.6234863901, 11.6683320793},
        {9, 0.95, 4.1153730974, 17.0848034514},
        {10, 0.95, 4.7953886961, 18.3903560420},
        {30, 0.95, 20.2408740214, 42.8268653948},
        {100, 0.95, 81.3639912509, 121.6267937924},
        {0, 0.90, 0, 2.99573227}, /* = ln 20 */
        {0, 0.99, 0, 5.29831737}, /* = ln 200 */
        {10, 0.90, 5.42540570, 16.96221924},
        {10, 0.99, 3.71692213, 21.39782750},
        {25, 0.99, 13.99537443, 41.00041285},
        /* counts where gsl_cdf_chisq_Qinv returns a wrong value or none */
        {1161, 0.95, 1095.1694052188, 1229.7535402124},
        {1162, 0.99, 1076.0737085086, 1252.7203180911},
        {5000, 0.99, 4819.7399910969, 5185.0347393787},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct stat_interval got = stat_poisson(rows[i].k, rows[i].level);
        assert_near(got.low, rows[i].low, 2e-9);
        assert_near(got.high, rows[i].high, 2e-9);
    }
}

/* GraphPad's published table for a count of 25, as printed: 16.18-36.90, 17.38-34.92, 14.00-41.00.
 */
static void garwood_interval_agrees_with_a_printed_table(void **state)
{
    (void)state;
    static const struct {
        double level, low, high;
    } rows[] = {{0.95, 16.18, 36.90}, {0.90, 17.38, 34.92}, {0.99, 14.00, 41.00}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct stat_interval got = stat_poisson(25, rows[i].level);
        assert_true(fabs(got.low - rows[i].low) <= 0.0051);
        assert_true(fabs(got.high - rows[i].high) <= 0.0051);
    }
}

/* 15 events in 400: R and statsmodels' tests (test_rates_poisson.py) agree. */
static void rate_divides_the_interval_by_the_exposure(void **state)
{
    (void)state;
    const struct stat_rate got = stat_rate(15, 400, 0.95);
    assert_near(got.rate, 0.0375, 1e-15);
    assert_near(got.low, 0.0209884653319583, 1e-11);
    assert_near(got.high, 0.0618505471787146, 1e-11);
}

static void rate_without_exposure_says_it_knows_nothing(void **state)
{
    (void)state;
    const double none[] = {0, -1, NAN, INFINITY};
    for (size_t i = 0; i < COUNT(none); i++) {
        const struct stat_rate got = stat_rate(3, none[i], 0.95);
        assert_true(isnan(got.rate) && got.low == 0 && got.high == INFINITY);
    }
}

static void two_rates_equal_poisson_test(void **state)
{
    (void)state;
    static const struct {
        unsigned x1;
        double t1;
        unsigned x2;
        double t2, ratio, low, high, p;
    } rows[] = {
        {11, 800, 21, 3011, 1.97148809524, 0.858426403392, 4.27726594365, 0.0796686330333},
        {41, 28010, 15, 19017, 1.85575865762, 1.00568406269, 3.60930031108, 0.0408520262865},
        {60, 51477.5, 30, 54308.7, 2.10999757175, 1.33973572177, 3.38836557362, 0.000675182658686},
        {20, 45, 8, 50, 2.77777777778, 1.17198617679, 7.29134211083, 0.0129937690538},
        {9, 12, 3, 11, 2.75, 0.686294079347, 15.7923361997, 0.150560743377},
        {12, 3, 4, 2, 2, 0.606154653923, 8.50822964365, 0.308837102289},
        {5, 1, 14, 1, 0.357142857143, 0.100674012479, 1.0493035605, 0.0635681152344},
        {0, 100, 3, 100, 0, 0, 2.41995189335, 0.25},
        {7, 4, 0, 4, INFINITY, 1.44130851884, INFINITY, 0.015625},
        {0, 1, 0, 1, NAN, 0, INFINITY, 1},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct stat_two_rates got =
            stat_two_rates(rows[i].x1, rows[i].t1, rows[i].x2, rows[i].t2, 0.95);
        assert_near(got.ratio, rows[i].ratio, 1e-11);
        assert_near(got.low, rows[i].low, 1e-9);
        assert_near(got.high, rows[i].high, 1e-9);
        assert_near(got.p, rows[i].p, 1e-10);
    }
}

static void two_rates_without_exposure_are_unknown(void **state)
{
    (void)state;
    assert_true(isnan(stat_two_rates(3, 0, 2, 5, 0.95).p));
    assert_true(isnan(stat_two_rates(3, 5, 2, NAN, 0.95).ratio));
}

static void binomial_test_equals_binom_test(void **state)
{
    (void)state;
    static const struct {
        unsigned k, n;
        double p0, p;
    } rows[] = {
        {682, 925, 0.75, 0.382491559575},
        {12, 16, 0.5, 0.0768127441406},
        {12, 16, 0.6, 0.308837102289},
        {9, 10, 0.5, 0.021484375},
        {3, 40, 0.2, 0.0478694633884},
        {0, 17, 0.3, 0.0029822830991},
        {8, 16, 0.5, 1},
        {1900, 4000, 0.5, 0.00164926637514},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_near(stat_binomial_p(rows[i].k, rows[i].n, rows[i].p0), rows[i].p, 1e-9);
        const unsigned missed = rows[i].n - rows[i].k;
        assert_near(stat_binomial_p(missed, rows[i].n, 1 - rows[i].p0), rows[i].p, 1e-9);
    }
}

/* The definition itself, summed term by term, for every outcome of small trials. */
static void binomial_test_is_the_sum_of_outcomes_no_likelier(void **state)
{
    (void)state;
    const double chances[] = {0.03, 0.21, 0.35, 0.5, 0.8};
    for (size_t c = 0; c < COUNT(chances); c++) {
        for (unsigned n = 1; n <= 24; n++) {
            double mass[25];
            for (unsigned k = 0; k <= n; k++)
                mass[k] = exp(lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1) +
                              k * log(chances[c]) + (n - k) * log1p(-chances[c]));
            for (unsigned k = 0; k <= n; k++) {
                double sum = 0;
                for (unsigned j = 0; j <= n; j++)
                    sum += mass[j] <= mass[k] * (1 + 1e-7) ? mass[j] : 0;
                assert_near(stat_binomial_p(k, n, chances[c]), fmin(sum, 1), 1e-9);
            }
        }
    }
}

static void clopper_pearson_equals_binom_test(void **state)
{
    (void)state;
    static const struct {
        unsigned k, n;
        double level, low, high;
    } rows[] = {
        {7, 20, 0.95, 0.1539092, 0.5921885},
        {81, 263, 0.95, 0.25273675, 0.36762192},
        {0, 20, 0.95, 0, 0.16843347},
        {1, 29, 0.95, 0.00087265, 0.17764430},
        {10, 10, 0.95, 0.69150289, 1},
        {1, 1, 0.95, 0.025, 1},
        {8, 10, 0.80, 0.55039611, 0.94547138},
        {8, 10, 0.99, 0.35179883, 0.98914949},
        /* shares where gsl_cdf_beta_Pinv or Qinv does not converge */
        {33, 624, 0.95, 0.036679361053, 0.073471057299},
        {3, 319, 0.99, 0.001061903066, 0.033984517325},
        {441, 446, 0.99, 0.968598138347, 0.997575163841},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct stat_interval got = stat_clopper_pearson(rows[i].k, rows[i].n, rows[i].level);
        assert_true(fabs(got.low - rows[i].low) <= 6e-8);
        assert_true(fabs(got.high - rows[i].high) <= 6e-8);
    }
}

/* Rows 2-5 are the four examples of Newcombe 1998; prop.test gives the digits. */
static void wilson_equals_prop_test_without_correction(void **state)
{
    (void)state;
    static const struct {
        unsigned k, n;
        double level, low, high;
    } rows[] = {
        {7, 20, 0.95, 0.1811918, 0.5671457},     {81, 263, 0.95, 0.25528852, 0.36620958},
        {15, 148, 0.95, 0.06238640, 0.16048724}, {0, 20, 0.95, 0, 0.16112516},
        {1, 29, 0.95, 0.00611321, 0.17175522},   {10, 10, 0.95, 0.72246720, 1},
        {2, 3, 0.95, 0.20765960, 0.93850806},    {682, 925, 0.95, 0.70799599, 0.76463580},
        {8, 10, 0.80, 0.60159601, 0.91376278},   {8, 10, 0.99, 0.40081870, 0.95986885},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct stat_interval got = stat_wilson(rows[i].k, rows[i].n, rows[i].level);
        assert_true(fabs(got.low - rows[i].low) <= 6e-8);
        assert_true(fabs(got.high - rows[i].high) <= 6e-8);
    }
}

static void impossible_shares_and_levels_are_unknown(void **state)
{
    (void)state;
    assert_true(isnan(stat_clopper_pearson(4, 3, 0.95).low));
    assert_true(isnan(stat_wilson(4, 3, 0.95).high));
    assert_true(isnan(stat_poisson(3, 0).low) && isnan(stat_poisson(3, 1).high));
    assert_true(isnan(stat_binomial_p(1, 3, 1.5)));
    assert_true(stat_clopper_pearson(0, 0, 0.95).low == 0);
    assert_true(stat_clopper_pearson(0, 0, 0.95).high == 1);
}

/* An independent approximation of the tail (Wilson & Hilferty 1931, from memory), good to 0.2 %. */
static void garwood_interval_keeps_close_to_wilson_and_hilferty_at_every_size(void **state)
{
    (void)state;
    for (unsigned k = 1; k < 100000; k = k < 40 ? k + 1 : k + k / 3) {
        const struct stat_interval got = stat_poisson(k, 0.95);
        assert_true(got.low > 0 && got.low < k && got.high > k);
        const double z = 1.959963984540054, m = k + 1.0;
        const double high = m * pow(1 - 1 / (9 * m) + z / (3 * sqrt(m)), 3);
        assert_near(got.high, high, 0.002);
    }
}

/* The 15 p-values of Benjamini & Hochberg 1995, section 3.2: four are rejected at 0.05. */
static void benjamini_hochberg_reproduces_the_worked_example(void **state)
{
    (void)state;
    const double p[15] = {0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344,
                          0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.000};
    const double adjusted[15] = {0.0015,     0.0030,     0.0095,     0.035625,   0.0603,
                                 0.06385714, 0.06385714, 0.0645,     0.0765,     0.486,
                                 0.58118182, 0.714875,   0.75323077, 0.81321429, 1};
    double got[15];
    stat_bh_adjust(p, 15, got);
    int rejected = 0;
    for (size_t i = 0; i < 15; i++) {
        assert_near(got[i], adjusted[i], 1e-7);
        rejected += got[i] <= 0.05;
    }
    assert_int_equal(rejected, 4);
}

static void benjamini_hochberg_keeps_the_order_it_was_given(void **state)
{
    (void)state;
    double p[4] = {0.01, 0.04, 0.03, 0.005};
    const double adjusted[4] = {0.02, 0.04, 0.04, 0.02};
    stat_bh_adjust(p, 4, p);
    for (size_t i = 0; i < 4; i++)
        assert_near(p[i], adjusted[i], 1e-12);
    stat_bh_adjust(p, 0, p);
}

/* Cumulative .40 .65 .77 .85 .91 .95 .98 1 (R cumsum). */
static void four_of_eight_items_make_up_four_fifths(void **state)
{
    (void)state;
    const unsigned counts[8] = {40, 25, 12, 8, 6, 4, 3, 2};
    assert_int_equal(stat_share_items(counts, 8, 0.8), 4);
    assert_int_equal(stat_share_items(counts, 8, 0.65), 2);
    assert_int_equal(stat_share_items(counts, 8, 1), 8);
    assert_int_equal(stat_share_items(counts, 8, 0), 0);
    const unsigned tenths[5] = {1, 1, 1, 1, 1};
    assert_int_equal(stat_share_items(tenths, 5, 0.6), 3);
    assert_int_equal(stat_share_items(tenths, 0, 0.8), 0);
    const unsigned none[2] = {0, 0};
    assert_int_equal(stat_share_items(none, 2, 0.8), 0);
}

/* Pascal's row by adding, and nothing else: how often fewer than r of n coins show heads. */
static double fewer_heads(unsigned n, unsigned r)
{
    double row[70] = {1}, all = 1, sum = 0;
    for (unsigned i = 1; i <= n; i++, all *= 2)
        for (unsigned k = i; k > 0; k--)
            row[k] += row[k - 1];
    for (unsigned k = 0; k < r; k++)
        sum += row[k];
    return sum / all;
}

/* Nair (1940), as cited by Dixon & Massey (1969) and reprinted in Jarrard's Scientific Methods
 * (2001), table 5: the k-th value from either end, and how sure, in per cent. */
static void the_medians_interval_is_that_of_the_tables(void **state)
{
    (void)state;
    static const struct {
        unsigned n, k95;
        double sure95;
        unsigned k99;
        double sure99;
    } rows[] = {{8, 1, 99.2, 1, 99.2},   {9, 2, 96.1, 1, 99.6},    {10, 2, 97.9, 1, 99.8},
                {12, 3, 96.1, 2, 99.4},  {17, 5, 95.1, 3, 99.8},   {20, 6, 95.9, 4, 99.7},
                {25, 8, 95.7, 6, 99.6},  {40, 14, 96.2, 12, 99.4}, {60, 22, 97.3, 20, 99.4},
                {65, 25, 95.4, 22, 99.4}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (int sure = 0; sure < 2; sure++) {
            const unsigned n = rows[i].n, k = sure ? rows[i].k99 : rows[i].k95;
            double values[70];
            for (unsigned v = 0; v < n; v++)
                values[v] = (v * 7) % n + 1; /* 1 to n, out of order */
            const struct stat_median m = stat_median(values, n, sure ? 0.99 : 0.95);
            assert_true(m.low == k && m.high == n + 1 - k);
            assert_true(fabs(100 * m.level - (sure ? rows[i].sure99 : rows[i].sure95)) <= 0.0501);
            assert_true(fabs(m.level - (1 - 2 * fewer_heads(n, k))) < 1e-12);
            assert_true(m.value == (n + 1) / 2.0);
        }
}

static void few_values_say_how_little_their_whole_range_is_worth(void **state)
{
    (void)state;
    double one[] = {3}, five[] = {5, 1, 4, 2, 9}, none[1];
    struct stat_median m = stat_median(one, 1, 0.95);
    assert_true(m.value == 3 && m.low == 3 && m.high == 3 && m.level == 0);
    m = stat_median(five, 5, 0.95);
    assert_true(m.value == 4 && m.low == 1 && m.high == 9 && fabs(m.level - 0.9375) < 1e-12);
    m = stat_median(none, 0, 0.95);
    assert_true(isnan(m.value) && isnan(m.low) && isnan(m.high) && isnan(m.level));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(garwood_interval_equals_poisson_test),
        cmocka_unit_test(garwood_interval_agrees_with_a_printed_table),
        cmocka_unit_test(rate_divides_the_interval_by_the_exposure),
        cmocka_unit_test(rate_without_exposure_says_it_knows_nothing),
        cmocka_unit_test(two_rates_equal_poisson_test),
        cmocka_unit_test(two_rates_without_exposure_are_unknown),
        cmocka_unit_test(binomial_test_equals_binom_test),
        cmocka_unit_test(binomial_test_is_the_sum_of_outcomes_no_likelier),
        cmocka_unit_test(clopper_pearson_equals_binom_test),
        cmocka_unit_test(wilson_equals_prop_test_without_correction),
        cmocka_unit_test(impossible_shares_and_levels_are_unknown),
        cmocka_unit_test(garwood_interval_keeps_close_to_wilson_and_hilferty_at_every_size),
        cmocka_unit_test(benjamini_hochberg_reproduces_the_worked_example),
        cmocka_unit_test(benjamini_hochberg_keeps_the_order_it_was_given),
        cmocka_unit_test(four_of_eight_items_make_up_four_fifths),
        cmocka_unit_test(the_medians_interval_is_that_of_the_tables),
        cmocka_unit_test(few_values_say_how_little_their_whole_range_is_worth),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
