#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <math.h>
#include <string.h>
#include <cmocka.h>
#include <gsl/gsl_integration.h>

#include "count/late.h"
#include "count/moment.h"
#include "count/sound.h"
#include "count/tempo.h"
#include "close_to.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static struct move set(int counts, double bpm0, double bpm1, double hold_s)
{
    return (struct move){"14", counts, bpm0, bpm1, hold_s};
}

static void steady_counts_take_sixty_over_tempo(void **state)
{
    (void)state;
    /* 60 / bpm, arithmetic. */
    static const struct {
        double bpm, sixteen_s;
    } rows[] = {{96, 10}, {120, 8}, {128, 7.5}, {160, 6}, {192, 5}, {140, 48.0 / 7}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct move m = set(16, rows[i].bpm, 0, 2.5);
        assert_close(tempo_seconds(&m, 17), rows[i].sixteen_s, 1e-12);
        assert_close(tempo_length(&m), rows[i].sixteen_s + 2.5, 1e-12);
        assert_close(tempo_bpm(&m, 9), rows[i].bpm, 0);
    }
}

static double count_length(double x, void *params)
{
    const double *p = params;
    return 60 / (p[0] + (p[1] - p[0]) * x / p[2]);
}

static void ramps_agree_with_numerical_integration(void **state)
{
    (void)state;
    /* Reference: GSL 2.7 QAGS on 60 / b(x). */
    static const double rows[][3] = {{120, 160, 16}, {160, 120, 16},     {100, 200, 32},
                                     {184, 60, 8},   {140, 140.001, 24}, {96, 184, 1},
                                     {60, 61, 400}};
    gsl_integration_workspace *w = gsl_integration_workspace_alloc(1000);
    for (size_t i = 0; i < COUNT(rows); i++) {
        double p[3] = {rows[i][0], rows[i][1], rows[i][2]};
        const struct move m = set((int)p[2], p[0], p[1], 0);
        gsl_function f = {count_length, p};
        for (double at = 0.25; at <= p[2]; at += p[2] / 7) {
            double want, error;
            gsl_integration_qags(&f, 0, at, 0, 1e-12, 1000, w, &want, &error);
            assert_close(tempo_seconds(&m, 1 + at), want, 1e-9);
        }
    }
    gsl_integration_workspace_free(w);
    /* 60 n ln(b1 / b0) / (b1 - b0): 120 to 160 in 16 counts, 100 to 200 in 32; arithmetic. */
    const struct move up = set(16, 120, 160, 0), twice = set(32, 100, 200, 0);
    assert_close(tempo_seconds(&up, 17), 6.904369739, 1e-9);
    assert_close(tempo_seconds(&twice, 33), 13.308425867, 1e-9);
    assert_close(tempo_bpm(&up, 9), 140, 1e-12);
}

/* What a show file may hold that was put together elsewhere: any int, any double. */
static void absurd_sets_are_refused_or_reckoned_without_overflow(void **state)
{
    (void)state;
    const struct move most = set(2147483647, 120, 0, 0);
    assert_close(tempo_length(&most), 2147483647 * 0.5, 1);
    struct moment m;
    struct err e = {0};
    assert_true(moment_parse_drill("14.2147483647", (struct moves){&most, 1}, &m, &e));
    assert_true(m.count == 2147483647);
    assert_false(moment_parse_drill("14.2147483648", (struct moves){&most, 1}, &m, &e));
    assert_non_null(strstr(e.text, "set 14 has 2147483647 counts"));
    double w[4];
    const struct place last = {0, 2147483646, 0};
    assert_int_equal(written_counts(&(struct passage){{&most, 1}, last}, w, COUNT(w)), 2);
    const struct move rows[] = {set(2147483647, 120, 0, 0), set(-2147483647 - 1, 120, 0, 0),
                                set(16, 1e-300, 0, 0),      set(16, 1e300, 1e300, 0),
                                set(16, 120, -1e300, 0),    set(16, NAN, 0, 0),
                                set(16, 120, 0, 1e300),     set(16, 120, 0, NAN),
                                set(16, 120, 0, -1e-300)};
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_false(moves_check((struct moves){&rows[i], 1}, &e));
}

static void a_moment_far_away_overflows_nothing(void **state)
{
    (void)state;
    const struct moment on = {.kind = MOMENT_SHIFT_TIME, .us = INT64_MAX};
    const struct seen seen[] = {{.us = INT64_MAX}, {.us = INT64_MIN}, {.us = 0}};
    struct arena a = {0};
    struct err e = {0};
    struct ripple r;
    int64_t us = 0;
    assert_true(moment_resolve(&on, NULL, 5, &us, &e) && us == INT64_MAX);
    const struct late l = late_steady(INT64_MIN, INT64_MAX, 120, 33333);
    assert_true(l.ms > 1.8e16 && l.counts > 3e13);
    assert_true(
        ripple_measure(&a, &(struct ripple_seen){seen, COUNT(seen), -1, 120, 33333, 0}, &r, &e));
    assert_true(r.first == 1 && r.last == 0);
    assert_true(sound_delay_us(60, -300) == 0); /* below absolute zero nothing is known */
    arena_free(&a);
}

static void counts_and_seconds_are_inverses(void **state)
{
    (void)state;
    static const double tempi[] = {40, 96, 119.999999, 120, 120 + 1e-11, 184, 240};
    for (size_t i = 0; i < COUNT(tempi); i++) {
        for (size_t j = 0; j < COUNT(tempi); j++) {
            const struct move m = set(32, tempi[i], tempi[j], 0);
            for (double c = 1; c <= 33; c += 0.37) {
                const double s = tempo_seconds(&m, c);
                assert_close(tempo_count(&m, s), c, 1e-9);
                assert_close(tempo_seconds(&m, tempo_count(&m, s)), s, 1e-9);
            }
        }
    }
}

static void where_a_set_ends_the_next_begins(void **state)
{
    (void)state;
    const struct move sets[] = {set(8, 120, 0, 2), set(0, 120, 0, 0), set(16, 120, 0, 0)};
    const struct passage p = {.sets = {sets, COUNT(sets)}, .first = {0, 1, 0}};
    struct place at;
    assert_true(place_after(&p, 7, &at));
    assert_true(at.set == 0 && at.count == 8);
    assert_true(place_after(&p, 8, &at));
    assert_true(at.set == 2 && at.count == 1);
    assert_false(place_after(&p, 24, &at));
}

static void a_slope_next_to_nothing_is_steady(void **state)
{
    (void)state;
    const struct move m = set(16, 120, nextafter(120, 121), 0);
    assert_close(tempo_seconds(&m, 17), 8, 1e-12);
    assert_close(ramp_seconds(120, 5e-324, 16), 8, 1e-12);
    assert_close(ramp_counts(120, 5e-324, 8), 16, 1e-12);
}

static void an_unknown_tempo_stays_unknown(void **state)
{
    (void)state;
    const struct move m = set(16, 0, 0, 3);
    assert_false(tempo_known(&m));
    assert_true(isnan(tempo_seconds(&m, 5)));
    assert_true(isnan(tempo_count(&m, 5)));
    assert_true(isnan(tempo_length(&m)));
    assert_close(tempo_bpm(&m, 5), 0, 0);
    const struct move hold = set(0, 0, 0, 3);
    assert_true(tempo_known(&hold));
    assert_close(tempo_length(&hold), 3, 0);
}

static void sets_out_of_range_are_named(void **state)
{
    (void)state;
    static const struct {
        struct move m;
        const char *says;
    } rows[] = {
        {{"14", -1, 120, 120, 0}, "set 14: -1 counts"},
        {{"14", 16, 1600, 0, 0}, "set 14: tempo 1600 to 0 bpm; write 10 to 400"},
        {{"14", 16, 120, 3, 0}, "tempo 120 to 3"},
        {{"14", 16, 0, 120, 0}, "tempo 0 to 120"},
        {{"14", 16, NAN, 0, 0}, "tempo nan"},
        {{"14", 16, 120, 120, -2}, "hold of -2 s"},
        {{"14", 16, 120, 120, NAN}, "hold of nan"},
    };
    struct err e = {0};
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_false(moves_check((struct moves){&rows[i].m, 1}, &e));
        assert_int_equal(e.code, ERR_INPUT);
        assert_non_null(strstr(e.text, rows[i].says));
    }
    const struct move good = set(0, 0, 0, 0);
    assert_true(moves_check((struct moves){&good, 1}, &e));
    assert_true(moves_check((struct moves){0}, &e));
}

static void a_mistyped_set_gets_a_near_one_offered(void **state)
{
    (void)state;
    const struct move sets[] = {
        {"opener", 8, 120, 0, 0}, {"12", 8, 120, 0, 0}, {"12A", 8, 120, 0, 0}};
    struct err e = {0};
    assert_int_equal(move_find((struct moves){sets, 3}, "12A", &e), 2);
    assert_int_equal(move_find((struct moves){sets, 3}, "12a", &e), 2);
    assert_int_equal(move_find((struct moves){sets, 3}, "opner", &e), -1);
    assert_string_equal(e.text, "no set 'opner' in the show; did you mean 'opener'?");
    assert_int_equal(move_find((struct moves){sets, 3}, "99Q", &e), -1);
    assert_non_null(strstr(e.text, "its sets go from 'opener' to '12A'"));
    assert_int_equal(move_find((struct moves){0}, "1", &e), -1);
    assert_non_null(strstr(e.text, "no sets yet"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steady_counts_take_sixty_over_tempo),
        cmocka_unit_test(ramps_agree_with_numerical_integration),
        cmocka_unit_test(absurd_sets_are_refused_or_reckoned_without_overflow),
        cmocka_unit_test(a_moment_far_away_overflows_nothing),
        cmocka_unit_test(counts_and_seconds_are_inverses),
        cmocka_unit_test(where_a_set_ends_the_next_begins),
        cmocka_unit_test(a_slope_next_to_nothing_is_steady),
        cmocka_unit_test(an_unknown_tempo_stays_unknown),
        cmocka_unit_test(sets_out_of_range_are_named),
        cmocka_unit_test(a_mistyped_set_gets_a_near_one_offered),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
