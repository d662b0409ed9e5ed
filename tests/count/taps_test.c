#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <math.h>
#include <string.h>
#include <cmocka.h>
#include <gsl/gsl_fit.h>

#include "count/taps.h"
#include "chance.h"
#include "close_to.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static void a_clean_fit_is_the_published_regression(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct tap_fit f;
    /* Reference: R 4.2.2, lm(t ~ n) and confint() on these taps. */
    static const int64_t taps[] = {10012000, 10470000, 10905000, 11361000, 11804000, 12250000,
                                   12706000, 13148000, 13601000, 14045000, 14490000, 14944000,
                                   15395000, 15838000, 16287000, 16731000};
    assert_true(taps_fit(&a, (struct tap_times){taps, COUNT(taps)}, 134, &f, &e));
    assert_int_equal(f.used, 16);
    assert_close(f.at_us * 1e-6, 10.0143529412, 1e-9);
    assert_close(f.period_us * 1e-6, 0.447977941176, 1e-11);
    assert_close(f.bpm, 133.9351662, 1e-6);
    assert_close(f.residual_us * 1e-6, 0.003838452616, 1e-10);
    /* confint() is for taps that scatter only; a person who may wander as well is less sure. */
    const double confint = 0.44842442 - 0.447977941176;
    assert_true(f.period_error_us * 1e-6 > confint && f.period_error_us * 1e-6 < 4 * confint);
    assert_close(f.bpm_error, 133.9351662 * f.period_error_us * 1e-6 / 0.447977941176, 1e-6);
    assert_close(f.octave, 1, 0);
    assert_close(f.ratio, 133.9351662 / 134, 1e-8);
    arena_free(&a);
}

/* Of people who are known not to wander, each error is that of R and of GSL: the covariance of the
 * line, and Student's t. */
static void without_wandering_the_error_is_the_published_one(void **state)
{
    (void)state;
    double x[16], t[16], c0, c1, c00, c01, c11, sumsq, want, sd;
    static const double taps[] = {10012, 10470, 10905, 11361, 11804, 12250, 12706, 13148,
                                  13601, 14045, 14490, 14944, 15395, 15838, 16287, 16731};
    struct tap_cov c;
    for (int i = 0; i < 16; i++) {
        x[i] = i;
        t[i] = taps[i] * 1e3;
    }
    gsl_fit_linear(x, 1, t, 1, 16, &c0, &c1, &c00, &c01, &c11, &sumsq);
    gsl_fit_linear_est(12, c0, c1, c00, c01, c11, &want, &sd);
    tap_cov_of(&(struct tap_points){x, x, t, 16}, 15e3, &c);
    assert_int_equal(c.freedom, 14);
    for (int i = 1; i < TAP_WANDERS; i++) {
        assert_true(c.cov[i][2] > c.cov[i - 1][2]); /* who wanders is less sure */
        c.weight[i] = 0;
    }
    c.weight[0] = 1;
    assert_close(tap_cov_error(&c, 12), 2.144786688 * sd, 1e-3); /* t(0.975, 14), R qt() */
    assert_close(tap_cov_slope(&c) * 1e-6, 0.44842442 - 0.447977941176, 1e-8); /* R confint() */
}

/* Taps at bpm with scatter; some beats missed, some doubled, some far off. */
static size_t tap(int64_t *out, int beats, double bpm, double sd_us, double missed, double doubled,
                  double wild, uint64_t *seed)
{
    size_t n = 0;
    for (int k = 0; k < beats; k++) {
        if (k > 0 && chance(seed) < missed)
            continue;
        const double beat = 5e6 + k * 60e6 / bpm;
        const bool far = k > 0 && chance(seed) < wild;
        const double t = beat + (far ? 0.3 * 60e6 / bpm : sd_us * chance_normal(seed));
        out[n++] = llround(t);
        if (chance(seed) < doubled)
            out[n++] = llround(t + 70e3);
    }
    return n;
}

static void missed_doubled_and_wild_taps_do_no_harm(void **state)
{
    (void)state;
    static const double tempi[] = {60, 96, 120, 148, 184};
    uint64_t seed = 5;
    int held = 0, rounds = 0;
    for (size_t i = 0; i < COUNT(tempi); i++) {
        for (int round = 0; round < 20; round++, rounds++) {
            struct arena a = {0};
            struct err e = {0};
            struct tap_fit f;
            int64_t taps[80];
            const size_t n = tap(taps, 32, tempi[i], 12e3, 0.15, 0.1, 0.06, &seed);
            if (!taps_fit(&a, (struct tap_times){taps, n}, tempi[i], &f, &e))
                fail_msg("%g bpm: %s", tempi[i], e.text);
            assert_close(f.bpm, tempi[i], 0.005 * tempi[i]);
            assert_close(f.at_us, 5e6, 25e3);
            assert_true(f.used >= 16);
            assert_int_equal((size_t)(f.used + f.doubles + f.outliers), n);
            assert_close(f.octave, 1, 0);
            held += fabs(f.bpm - tempi[i]) <= f.bpm_error;
            arena_free(&a);
        }
    }
    /* A 95 % interval holds the truth in 95 of 100; fewer than 88 has odds under 1 in 300. */
    assert_true(held >= 88);
    assert_int_equal(rounds, 100);
}

/* How often the 95 % hold the truth of tempo, first beat and middle beat, for people who scatter and
 * wander differently; some beats are left out. */
struct held {
    int bpm, first, middle, rounds;
};

static void tap_and_fit(int beats, double scatter_us, double step_us, uint64_t *seed,
                        struct held *held)
{
    struct arena a = {0};
    struct err e = {0};
    struct tap_fit f;
    int64_t taps[64];
    double walk = 0, error;
    size_t n = 0;
    for (int k = 0; k < beats; k++) {
        walk += step_us * chance_normal(seed);
        if (k == 0 || k == beats - 1 || chance(seed) >= 0.1)
            taps[n++] = llround(5e6 + k * 60e6 / 140 + walk + scatter_us * chance_normal(seed));
    }
    if (taps_fit(&a, (struct tap_times){taps, n}, 0, &f, &e)) {
        const int middle = beats / 2;
        held->rounds++;
        held->bpm += fabs(f.bpm - 140) <= f.bpm_error;
        held->first += fabs(f.at_us - 5e6) <= f.at_error_us;
        held->middle += fabs(taps_time(&f, middle, &error) - 5e6 - middle * 60e6 / 140) <= error;
    }
    arena_free(&a);
}

static void the_error_holds_the_truth_for_steady_and_wandering_people(void **state)
{
    (void)state;
    static const int beats[] = {5, 6, 8, 12, 16, 32, 64};
    static const double scatter_us[] = {5e3, 12e3, 20e3}, step_us[] = {0, 4e3, 8e3};
    uint64_t seed = 11;
    for (size_t b = 0; b < COUNT(beats); b++)
        for (size_t i = 0; i < COUNT(scatter_us); i++)
            for (size_t k = 0; k < COUNT(step_us); k++) {
                /* 93 in 100, less what so many rounds can be off (a standard error) */
                const int rounds = beats[b] > 16 ? 120 : 400;
                const double least = 0.93 * rounds - sqrt(0.93 * 0.07 * rounds);
                struct held held = {0};
                while (held.rounds < rounds)
                    tap_and_fit(beats[b], scatter_us[i], step_us[k], &seed, &held);
                if (getenv("TAPS_TELL"))
                    print_message("%d beats, %.0f ms, wandering %.0f ms: %d %d %d\n", beats[b],
                                  scatter_us[i] / 1e3, step_us[k] / 1e3, held.bpm, held.first,
                                  held.middle);
                if (getenv("TAPS_TELL"))
                    continue;
                if (held.bpm < least || held.first < least || held.middle < least)
                    fail_msg("%d beats, %.0f ms, wandering %.0f ms: %d %d %d of %d hold it",
                             beats[b], scatter_us[i] / 1e3, step_us[k] / 1e3, held.bpm, held.first,
                             held.middle, rounds);
            }
}

static void what_was_set_aside_is_told_apart(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct tap_fit f;
    /* Beats 0 .. 9 at 120; beat 4 missed, beat 6 tapped twice, beat 8 a third of a beat late. */
    static const int64_t taps[] = {1000000, 1502000, 1998000, 2500000, 3501000,
                                   4000000, 4065000, 4499000, 5170000, 5500000};
    assert_true(taps_fit(&a, (struct tap_times){taps, COUNT(taps)}, 0, &f, &e));
    static const int want[] = {0, 1, 2, 3, 5, 6, TAP_DOUBLE, 7, TAP_OUTLIER, 9};
    for (size_t i = 0; i < COUNT(want); i++)
        assert_int_equal(f.beat[i], want[i]);
    assert_int_equal(f.doubles, 1);
    assert_int_equal(f.outliers, 1);
    assert_int_equal(f.missed, 2);
    assert_close(f.bpm, 120, 0.1);
    assert_close(f.octave, 0, 0);
    arena_free(&a);
}

static void half_and_double_time_are_offered(void **state)
{
    (void)state;
    static const struct {
        double tapped, written, octave;
    } rows[] = {{80, 160, 2},  {160, 80, 0.5}, {160, 160, 1}, {170, 160, 1},
                {100, 160, 0}, {84, 160, 2},   {160, 0, 0}};
    uint64_t seed = 8;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        struct err e = {0};
        struct tap_fit f;
        int64_t taps[32];
        const size_t n = tap(taps, 16, rows[i].tapped, 5e3, 0, 0, 0, &seed);
        assert_true(taps_fit(&a, (struct tap_times){taps, n}, rows[i].written, &f, &e));
        assert_close(f.octave, rows[i].octave, 0);
        arena_free(&a);
    }
}

static void three_taps_give_the_moment_and_a_tempo_with_the_usual_scatter(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct tap_fit f;
    /* By hand: 500 ms apart and off by 0, +9, 0 ms: the line lies 3 ms above the outer two, so that
     * the middle beat is at 503 ms. They scatter by 15 ms and wander by steps of 7.5: the mean of
     * three has the variance 225 / 3 + 56.25 (9 + 4 + 1) / 9 = 162.5, half the way from the first to
     * the last 225 / 2 + 56.25 / 2 = 140.6; 1.96 roots of these are 25.0 and 23.2 ms. */
    const int64_t taps[] = {0, 509000, 1000000};
    double error;
    assert_true(taps_fit(&a, (struct tap_times){taps, 3}, 120, &f, &e));
    assert_close(f.bpm, 120, 1e-9);
    assert_close(taps_time(&f, 1, &error), 503000, 1e-3);
    assert_close(error, 24985, 1);
    assert_close(f.period_error_us, 23243, 2);
    arena_free(&a);
}

static void taps_that_say_nothing_give_nothing(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    const struct tap_fit none = {0};
    struct tap_fit f = {0};
    int64_t taps[2000];
    assert_false(taps_fit(&a, (struct tap_times){0}, 120, &f, &e));
    assert_non_null(strstr(e.text, "0 taps: tap the beat 3 times or more"));
    for (int i = 0; i < 3; i++)
        taps[i] = i * 500000;
    assert_false(taps_fit(&a, (struct tap_times){taps, 2}, 120, &f, &e));
    assert_non_null(strstr(e.text, "2 taps: tap the beat"));
    for (int i = 0; i < 12; i++)
        taps[i] = 7000000 + i * 4000;
    assert_false(taps_fit(&a, (struct tap_times){taps, 12}, 120, &f, &e));
    assert_string_equal(e.text, "12 taps within a moment: tap once on every beat, 3 times or more");
    for (int i = 0; i < 2000; i++)
        taps[i] = i * 500000;
    assert_false(taps_fit(&a, (struct tap_times){taps, 2000}, 120, &f, &e));
    assert_memory_equal(&f, &none, sizeof f);
    arena_free(&a);
}

static void taps_by_chance_are_refused(void **state)
{
    (void)state;
    uint64_t seed = 21;
    int refused = 0;
    for (int round = 0; round < 200; round++) {
        struct arena a = {0};
        struct err e = {0};
        struct tap_fit f;
        int64_t taps[16], t = 0;
        for (size_t i = 0; i < COUNT(taps); i++) /* gaps 0.15 .. 0.95 s */
            taps[i] = t += 150000 + (int64_t)(800000 * chance(&seed));
        refused += !taps_fit(&a, (struct tap_times){taps, COUNT(taps)}, 120, &f, &e);
        arena_free(&a);
    }
    assert_true(refused >= 190);
}

/* A ritardando of 16 counts between two steady sets, a hold at its end. */
static const struct move ending[] = {
    {"20", 8, 144, 0, 0}, {"21", 16, 144, 84, 1.2}, {"22", 8, 84, 0, 0}, {"23", 8, 0, 0, 0}};

static void taps_over_a_ritardando_follow_its_written_shape(void **state)
{
    (void)state;
    uint64_t seed = 4;
    for (int round = 0; round < 20; round++) {
        struct arena a = {0};
        struct err e = {0};
        struct tap_fit f;
        struct map_anchor tie;
        double w[64], error;
        int64_t taps[64];
        const struct place first = {0, 5, 0};
        const size_t beats =
            written_counts(&(struct passage){{ending, COUNT(ending)}, first}, w, COUNT(w));
        assert_int_equal(beats, 28); /* 4 + 16 + 8, then a set without tempo */
        size_t n = 0;
        for (size_t k = 0; k < 26; k++) {
            if (k > 0 && chance(&seed) < 0.12)
                continue;
            const bool far = k > 0 && chance(&seed) < 0.06;
            taps[n++] =
                llround(40e6 + w[k] * 1e6 / 1.04 + (far ? 150e3 : 12e3 * chance_normal(&seed)));
        }
        assert_true(taps_fit_written(&a, (struct tap_times){taps, n},
                                     &(struct passage){{ending, COUNT(ending)}, first}, &f, &e));
        assert_close(f.ratio, 1.04, 0.006);
        assert_close(f.bpm, 144 * 1.04, 1);
        assert_close(f.at_us, 40e6, 25e3);
        assert_true(
            taps_anchor(&f, &(struct passage){{ending, COUNT(ending)}, first}, &tie, &error, &e));
        const double k = tie.set == 0 ? tie.count - 5 : tie.count + (tie.set == 1 ? 3 : 19);
        assert_close((double)tie.us, 40e6 + w[(int)k] * 1e6 / 1.04, 15e3);
        assert_true(error > 0 && error < 80e3);
        assert_true(tie.set == 1);
        arena_free(&a);
    }
}

static void the_tie_of_steady_taps_lies_at_their_middle(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct tap_fit f;
    struct map_anchor tie;
    int64_t taps[13];
    double error, error_last;
    for (int i = 0; i < 13; i++)
        taps[i] = 2000000 + i * 400000 + (i % 2 ? 5000 : -5000);
    assert_true(taps_fit(&a, (struct tap_times){taps, 13}, 150, &f, &e));
    const struct place first = {0, 5, 0}, late = {2, 7, 0};
    assert_true(taps_anchor(&f, &(struct passage){{ending, 3}, first}, &tie, &error, &e));
    assert_int_equal(tie.set, 1); /* 4 counts of set 20, then 3 of set 21 */
    assert_close(tie.count, 3, 0);
    assert_close((double)tie.us, 4400000, 1000);
    taps_time(&f, 12, &error_last);
    assert_true(error < error_last);
    assert_false(taps_anchor(&f, &(struct passage){{ending, 3}, late}, &tie, &error, &e));
    assert_non_null(strstr(e.text, "the show ends before"));
    arena_free(&a);
}

static void a_set_without_tempo_gives_taps_no_shape(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct tap_fit f;
    const int64_t taps[] = {0, 500000, 1000000, 1500000, 2000000};
    const struct place first = {3, 1, 0};
    assert_false(taps_fit_written(&a, (struct tap_times){taps, 5},
                                  &(struct passage){{ending, COUNT(ending)}, first}, &f, &e));
    assert_non_null(strstr(e.text, "set 23 from count 1 on has too few counts of known tempo"));
    arena_free(&a);
}

static void a_persons_lateness_is_measured_and_taken_off_at_any_speed(void **state)
{
    (void)state;
    struct err e = {0};
    struct tap_bias bias;
    uint64_t seed = 2;
    int64_t beats[40], taps[40];
    for (int i = 0; i < 40; i++) {
        beats[i] = 1000000 + i * 500000;
        taps[i] = beats[i] + 62000 + llround(15e3 * chance_normal(&seed));
    }
    taps[7] += 170000;
    assert_true(taps_bias((struct tap_times){taps, 40}, (struct tap_times){beats, 40}, &bias, &e));
    assert_int_equal(bias.set_aside, 1);
    assert_close(bias.us, 62e3, 8e3);
    assert_close(bias.us, 62e3, bias.error_us * 2);
    assert_close(bias.spread_us, 15e3, 5e3);
    /* At half speed a beat of 0.5 s lasts a second on the clock, and 62 ms late on the clock are 31
     * ms late in the clip. */
    const struct tap_clock c = {
        .wall_us = 900000000, .clip_us = 20000000, .speed = 0.5, .bias_us = 62000};
    const int64_t wall[] = {900062000, 901062000, 904062000};
    int64_t clip[3];
    taps_to_clip(&c, wall, 3, clip);
    assert_int_equal(clip[0], 20000000);
    assert_int_equal(clip[1], 20500000);
    assert_int_equal(clip[2], 22000000);
}

static void a_calibration_off_the_beats_is_refused(void **state)
{
    (void)state;
    struct err e = {0};
    struct tap_bias bias = {0};
    uint64_t seed = 6;
    int64_t beats[40], taps[40];
    for (int i = 0; i < 40; i++) {
        beats[i] = i * 500000;
        taps[i] = (int64_t)(20e6 * chance(&seed));
    }
    assert_false(taps_bias((struct tap_times){taps, 40}, (struct tap_times){beats, 40}, &bias, &e));
    assert_non_null(strstr(e.text, "do not follow the beats"));
    assert_false(taps_bias((struct tap_times){taps, 5}, (struct tap_times){beats, 40}, &bias, &e));
    assert_non_null(strstr(e.text, "5 taps on 40 beats"));
    assert_close(bias.us, 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clean_fit_is_the_published_regression),
        cmocka_unit_test(without_wandering_the_error_is_the_published_one),
        cmocka_unit_test(missed_doubled_and_wild_taps_do_no_harm),
        cmocka_unit_test(the_error_holds_the_truth_for_steady_and_wandering_people),
        cmocka_unit_test(what_was_set_aside_is_told_apart),
        cmocka_unit_test(half_and_double_time_are_offered),
        cmocka_unit_test(three_taps_give_the_moment_and_a_tempo_with_the_usual_scatter),
        cmocka_unit_test(taps_that_say_nothing_give_nothing),
        cmocka_unit_test(taps_by_chance_are_refused),
        cmocka_unit_test(taps_over_a_ritardando_follow_its_written_shape),
        cmocka_unit_test(the_tie_of_steady_taps_lies_at_their_middle),
        cmocka_unit_test(a_set_without_tempo_gives_taps_no_shape),
        cmocka_unit_test(a_persons_lateness_is_measured_and_taken_off_at_any_speed),
        cmocka_unit_test(a_calibration_off_the_beats_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
