#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <math.h>
#include <cmocka.h>

#include "lib/cases.h"
#include "score.h"

/* Beats at 120 bpm unless said otherwise; every expectation was worked out by hand. */
static const double nothing[] = {0};
static const double four[] = {1, 1.5, 2, 2.5};
static const double eight[] = {1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5};
static const double eight_late[] = {1.02, 1.52, 2.02, 2.52, 3.02, 3.52, 4.02, 4.52};
/* 60 ms to 80 ms late: only the first is within 70. */
static const double four_later[] = {1.06, 1.58, 2.08, 2.58};
static const double doubled[] = {1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 2.75,
                                 3, 3.25, 3.5, 3.75, 4, 4.25, 4.5};
static const double halved[] = {1, 2, 3, 4};
static const double halved_other[] = {1.5, 2.5, 3.5, 4.5};
static const double off_beat[] = {1.25, 1.75, 2.25, 2.75, 3.25, 3.75, 4.25};
/* Three beats to two of the truth. */
static const double threes[] = {1, 1.3333, 1.6667, 2, 2.3333, 2.6667, 3, 3.3333, 3.6667, 4, 4.3333};
/* A stop of two seconds, and what was found on both sides of it. */
static const double stopped[] = {1, 1.5, 2, 2.5, 4.5, 5, 5.5, 6};
static const double stopped_double[] = {1,   1.25, 1.5, 1.75, 2,   2.25, 2.5,
                                        4.5, 4.75, 5,   5.25, 5.5, 5.75, 6};
static const double stopped_half[] = {1, 2, 4.5, 5.5};
/* Three beats before the stop: the passage after it is halved from its own first beat on. */
static const double stopped_odd[] = {1, 1.5, 2, 4, 4.5, 5, 5.5};
static const double stopped_odd_half[] = {1, 2, 4, 5};
/* On through the stop: 3 to 4 were not there. */
static const double through[] = {1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6};
/* One beat left out: the one after it is in phase, but its interval is twice as long. */
static const double gap[] = {1, 1.5, 2, 3, 3.5, 4, 4.5};
/* One too many at 2.25: it is out of phase, and 2.5 follows too soon. */
static const double extra[] = {1, 1.5, 2, 2.25, 2.5, 3, 3.5, 4, 4.5};

#define T(a)                                                                                       \
    {                                                                                              \
        a, sizeof(a) / sizeof *(a)                                                                 \
    }
#define NOTHING                                                                                    \
    {                                                                                              \
        nothing, 0                                                                                 \
    }

static const struct row {
    const char *name;
    struct times truth, found;
    double f, cml_t, aml_t, bias_ms; /* NAN: no pair */
    enum level level;
} rows[] = {
    {"what is true is right", T(eight), T(eight), 1, 1, 1, 0, LEVEL_SAME},
    {"twenty ms late is right, and said", T(eight), T(eight_late), 1, 1, 1, 20, LEVEL_SAME},
    {"80 ms late is no hit, but within 17.5 % of half a second", T(four), T(four_later), 0.25, 1, 1,
     60, LEVEL_SAME},
    {"nothing found is worth nothing", T(eight), NOTHING, 0, 0, 0, NAN, LEVEL_NONE},
    {"beats where there are none are worth nothing", NOTHING, T(eight), 0, 0, 0, NAN, LEVEL_NONE},
    {"silence that is found silent is right", NOTHING, NOTHING, 1, 0, 0, NAN, LEVEL_NONE},
    /* 8 hits of 8 and 15 */
    {"twice the tempo", T(eight), T(doubled), 16.0 / 23, 0, 1, 0, LEVEL_DOUBLE},
    /* 4 hits of 8 and 4 */
    {"half the tempo", T(eight), T(halved), 8.0 / 12, 0, 1, 0, LEVEL_HALF},
    {"half the tempo from the second beat on", T(eight), T(halved_other), 8.0 / 12, 0, 1, 0,
     LEVEL_HALF},
    {"off the beat", T(eight), T(off_beat), 0, 0, 1, NAN, LEVEL_OFF_BEAT},
    /* 4 hits of 8 and 11 (1, 2, 3, 4); no interval of a third is within 17.5 % of a half or of a
     * quarter */
    {"three to two is no level", T(eight), T(threes), 8.0 / 19, 0, 0, 0, LEVEL_NONE},
    {"a stop is no interval", T(stopped), T(stopped), 1, 1, 1, 0, LEVEL_SAME},
    {"twice the tempo on both sides of a stop", T(stopped), T(stopped_double), 16.0 / 22, 0, 1, 0,
     LEVEL_DOUBLE},
    {"half the tempo on both sides of a stop", T(stopped), T(stopped_half), 8.0 / 12, 0, 1, 0,
     LEVEL_HALF},
    {"half the tempo after a passage of three", T(stopped_odd), T(stopped_odd_half), 8.0 / 11, 0, 1,
     0, LEVEL_HALF},
    /* 8 hits of 8 and 11; all eight right of eleven; at no other level more */
    {"beats within a stop count against", T(stopped), T(through), 16.0 / 19, 8.0 / 11, 8.0 / 11, 0,
     LEVEL_SAME},
    /* 7 hits of 8 and 7; 3 has a whole second before it: 6 of 8 */
    {"a gap costs the beat after it too", T(eight), T(gap), 14.0 / 15, 6.0 / 8, 6.0 / 8, 0,
     LEVEL_SAME},
    /* 8 hits of 8 and 9; 2.25 and 2.5 are wrong: 7 of 9 */
    {"one too many costs the beat after it too", T(eight), T(extra), 16.0 / 17, 7.0 / 9, 7.0 / 9, 0,
     LEVEL_SAME},
};

static void check(void **state)
{
    const struct row *r = *state;
    const struct beat_score s = score_beats(r->truth, r->found);
    if (fabs(s.f - r->f) > 1e-9)
        fail_msg("F %g, not %g", s.f, r->f);
    if (fabs(s.cml_t - r->cml_t) > 1e-9)
        fail_msg("CMLt %g, not %g", s.cml_t, r->cml_t);
    if (fabs(s.aml_t - r->aml_t) > 1e-9)
        fail_msg("AMLt %g, not %g", s.aml_t, r->aml_t);
    assert_int_equal(s.level, r->level);
    if (isnan(r->bias_ms) ? !isnan(s.bias_ms) : !(fabs(s.bias_ms - r->bias_ms) < 1e-6))
        fail_msg("bias %g, not %g", s.bias_ms, r->bias_ms);
}

/* Both found beats are within reach of the first true one; only the pairing 0 with -50 ms leaves
 * one for the second, 65 ms before it. */
static void pairs_are_as_many_as_can_be(void **state)
{
    (void)state;
    const double truth[] = {0, 0.1}, found[] = {-0.05, 0.035};
    assert_true(fabs(score_f((struct times)T(truth), (struct times)T(found), 0.07) - 1) < 1e-9);
}

/* A stroke 60 ms early and one 5 ms late: the beat is the later one, and the early one is extra. */
static void the_nearer_of_two_is_the_beat(void **state)
{
    (void)state;
    const double truth[] = {1, 1.5}, found[] = {0.94, 1.005, 1.505};
    const struct times a = T(truth), b = T(found);
    assert_true(fabs(score_f(a, b, 0.07) - 0.8) < 1e-9);
    assert_true(fabs(score_bias_ms(a, b, 0.07) - 5) < 1e-6);
}

/* -10, 0 and 40 ms: the middle one is the bias, and of an even number the mean of the middle two. */
static void bias_is_a_median(void **state)
{
    (void)state;
    const double truth[] = {1, 2, 3, 4}, found[] = {0.99, 2, 3.04, 4.01};
    const struct times all = T(found);
    assert_true(fabs(score_bias_ms((struct times){truth, 3}, (struct times){found, 3}, 0.07)) <
                1e-6);
    assert_true(fabs(score_bias_ms((struct times)T(truth), all, 0.07) - 5) < 1e-6);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, check);
    case_test(&all, pairs_are_as_many_as_can_be);
    case_test(&all, the_nearer_of_two_is_the_beat);
    case_test(&all, bias_is_a_median);
    return cases_run(&all, "score");
}
