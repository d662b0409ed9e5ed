/* The intervals of a rank on a drawn camera: what they are, their errors against what comes out of many
 * clicks (Monte Carlo), who closes and who opens. */
#include <math.h>
#include <string.h>

#include "field/chance.h"
#include "field/interval.h"
#include "field/solve.h"
#include "lib/cases.h"

enum { RANK = 8, STEP2 = 45 };

/* A rank along the front hash at two steps, x of each given. */
static void clicked(const struct seen_by *by, const double x[RANK], double sd,
                    struct pixel out[RANK])
{
    for (int i = 0; i < RANK; i++) {
        assert_true(camera_sees(&by->camera, (struct field_place){x[i], 640}, &out[i], NULL));
        out[i].x += sd * normal();
        out[i].y += sd * normal();
    }
}

static void even(double x[RANK])
{
    for (int i = 0; i < RANK; i++)
        x[i] = -150 + STEP2 * i;
}

static void gaps_of(struct arena *a, const double x[RANK], double sd, double of,
                    struct intervals *out)
{
    const struct seen_by by = {.camera = box_camera(1920)};
    struct pixel at[RANK];
    struct measured m;
    struct err e;
    clicked(&by, x, 0, at);
    assert_true(measure(a, &by, &(struct clicks){at, RANK, sd}, &m, &e));
    if (!intervals(a, &m, of, out, &e))
        fail_msg("%s", e.text);
}

static void exact_clicks_give_exact_gaps(void **state)
{
    (void)state;
    struct arena a = {0};
    struct intervals got;
    double x[RANK];
    even(x);
    gaps_of(&a, x, 1.5, NAN, &got);
    assert_int_equal(got.n, RANK - 1);
    for (size_t i = 0; i < got.n; i++)
        assert_true(fabs(got.gap[i].inches - STEP2) < 1e-6 && got.gap[i].error > 0);
    assert_true(fabs(got.mean.inches - STEP2) < 1e-6);
    assert_int_equal(got.closes, -1);
    assert_int_equal(got.opens, -1);
    arena_free(&a);
}

/* By a camera that is sure, the clicks' errors do not depend on each other: each gap's variance is that
 * of its two clicks along the rank, the mean's that of the first and the last alone. */
static void all_clicks_but_two_fall_out_of_the_mean(void **state)
{
    (void)state;
    struct arena a = {0};
    const struct seen_by by = {.camera = box_camera(1920)};
    struct pixel at[RANK];
    struct measured m;
    struct intervals got;
    struct err e;
    double x[RANK];
    even(x);
    clicked(&by, x, 0, at);
    assert_true(measure(&a, &by, &(struct clicks){at, RANK, 1.5}, &m, &e));
    assert_true(intervals(&a, &m, NAN, &got, &e));
    const size_t last = 2 * (RANK - 1), wide = 2 * RANK;
    const double ends = m.cov[0] + m.cov[last * wide + last];
    assert_true(fabs(got.mean.error - 1.959963985 * sqrt(ends) / (RANK - 1)) < 1e-6);
    const double first = m.cov[0] + m.cov[2 * wide + 2];
    assert_true(fabs(got.gap[0].error - 1.959963985 * sqrt(first)) < 1e-6);
    arena_free(&a);
}

static const struct odd {
    const char *name;
    double move[RANK]; /* of each, inches */
    double of;         /* NAN: what most are */
    int closes, opens;
} odd[] = {
    {"one gap closes", {0, 0, 0, -15, -15, -15, -15, -15}, NAN, 2, -1},
    {"one gap opens", {0, 0, 0, 0, 0, 14, 14, 14}, NAN, -1, 4},
    {"somebody between two stands off: one closes, one opens", {0, 0, 0, 20}, NAN, 3, 2},
    {"less than half a step is let pass", {0, 0, 0, 10, 10, 10, 10, 10}, NAN, -1, -1},
    {"the furthest of two", {0, -15, -15, -15, -35, -35, -35, -35}, NAN, 3, -1},
    {"what most are is nothing to complain of", {0}, NAN, -1, -1},
    {"but what was asked for is", {0}, 67.5, 0, -1},
    {"either way", {0}, 22.5, -1, 0},
};

static void closes_and_opens(void **state)
{
    const struct odd *o = *state;
    struct arena a = {0};
    struct intervals got;
    double x[RANK];
    even(x);
    for (int i = 0; i < RANK; i++)
        x[i] += o->move[i];
    gaps_of(&a, x, 0.5, o->of, &got);
    if (isfinite(o->of)) { /* all are off by as much: whichever */
        assert_int_equal(got.closes >= 0, o->closes >= 0);
        assert_int_equal(got.opens >= 0, o->opens >= 0);
    } else {
        assert_int_equal(got.closes, o->closes);
        assert_int_equal(got.opens, o->opens);
    }
    arena_free(&a);
}

/* Nobody is blamed for a gap that the clicks cannot tell from a good one. */
static void what_is_within_its_error_is_not_said(void **state)
{
    (void)state;
    struct arena a = {0};
    struct intervals got;
    double x[RANK];
    even(x);
    for (int i = 3; i < RANK; i++)
        x[i] -= 15;
    gaps_of(&a, x, 8, NAN, &got);
    assert_true(got.gap[2].error > 15);
    assert_int_equal(got.closes, -1);
    arena_free(&a);
}

static void a_gap_needs_two_spots(void **state)
{
    (void)state;
    struct arena a = {0};
    const struct seen_by by = {.camera = box_camera(1920)};
    const struct pixel at[3] = {{700, 700}, {900, 700}, {900, 700}};
    struct measured m;
    struct intervals got;
    struct err e;
    assert_true(measure(&a, &by, &(struct clicks){at, 3, 1.5}, &m, &e));
    assert_false(intervals(&a, &m, NAN, &got, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_string_equal(e.text, "clicks 2 and 3 are on one spot");
    m.n = 1;
    assert_false(intervals(&a, &m, NAN, &got, &e));
    assert_non_null(strstr(e.text, "two clicks; there is 1"));
    arena_free(&a);
}

/* --- what is stated -------------------------------------------------------------------------------- */

/* A camera that is off as its picks of 1.5 px leave it. */
static bool found(const struct camera *truth, struct seen_by *out)
{
    static const double x[] = {-720, -360, 360, 720}, y[] = {0, 1280};
    struct pick s[8];
    struct camera start = {.width = truth->width, .height = truth->height, .half = truth->half};
    struct camera_ask ask = {.picks = s, .n = 8, .free = {1, 1, 1, 1, 1, 1, 1}};
    struct camera_fit fit;
    struct err e;
    for (int i = 0; i < 8; i++) {
        s[i] = (struct pick){.on = {x[i % 4], y[i / 4]}, .sd = 1.5};
        assert_true(camera_sees(truth, s[i].on, &s[i].at, NULL));
        s[i].at.x += 1.5 * normal(), s[i].at.y += 1.5 * normal();
    }
    if (!camera_start(s, 8, &start, &e) || !camera_improve(&ask, &start, &fit, &e))
        return false;
    out->camera = fit.camera;
    memcpy(out->cov, fit.cov, sizeof out->cov);
    return true;
}

static void errors_hold_as_often_as_stated(void **state)
{
    (void)state;
    enum { TRIALS = 2000 };
    const struct seen_by truth = {.camera = box_camera(1920)};
    int tried = 0, gap = 0, mean = 0;
    double x[RANK];
    even(x);
    for (int i = 0; i < TRIALS; i++) {
        struct arena a = {0};
        struct seen_by by;
        struct pixel at[RANK];
        struct measured m;
        struct intervals got;
        struct err e;
        if (!found(&truth.camera, &by))
            continue;
        clicked(&truth, x, 1.5, at);
        assert_true(measure(&a, &by, &(struct clicks){at, RANK, 1.5}, &m, &e));
        assert_true(intervals(&a, &m, NAN, &got, &e));
        tried++;
        gap += fabs(got.gap[i % (RANK - 1)].inches - STEP2) < got.gap[i % (RANK - 1)].error;
        mean += fabs(got.mean.inches - STEP2) < got.mean.error;
        arena_free(&a);
    }
    assert_true(tried > TRIALS * 99 / 100);
    if (fabs((double)gap / tried - 0.95) > 0.02 || fabs((double)mean / tried - 0.95) > 0.02)
        fail_msg("gaps %.3f, means %.3f", (double)gap / tried, (double)mean / tried);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, exact_clicks_give_exact_gaps);
    case_test(&all, all_clicks_but_two_fall_out_of_the_mean);
    cases_of(&all, odd, closes_and_opens);
    case_test(&all, what_is_within_its_error_is_not_said);
    case_test(&all, a_gap_needs_two_spots);
    case_test(&all, errors_hold_as_often_as_stated);
    return cases_run(&all, "intervals");
}
