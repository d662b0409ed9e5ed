/* Stated errors against what comes out of many clicks (Monte Carlo): an ellipse of 95 % holds 95 +- 2
 * in a hundred, and so does an interval. */
#include <math.h>
#include <string.h>

#include "field/chance.h"
#include "field/measure.h"
#include "field/solve.h"
#include "lib/cases.h"

static struct pixel clicked(const struct camera *c, struct field_place at, double sd)
{
    struct pixel p;
    assert_true(camera_sees(c, at, &p, NULL));
    return (struct pixel){p.x + sd * normal(), p.y + sd * normal()};
}

/* A camera out of eight picks, which is off a little each time, and two clicks on feet. */
static bool trial(const struct camera *truth, const struct field_place feet[2], struct arena *a,
                  struct measured *out)
{
    static const double x[] = {-720, -360, 360, 720}, y[] = {0, 1280};
    struct pick s[8];
    struct camera start = {.width = truth->width, .height = truth->height, .half = truth->half};
    struct camera_ask ask = {.picks = s, .n = 8, .free = {1, 1, 1, 1, 1, 1, 1}};
    struct camera_fit fit;
    struct err e;
    for (int i = 0; i < 8; i++) {
        const struct field_place on = {x[i % 4], y[i / 4]};
        s[i] = (struct pick){.at = clicked(truth, on, 1.5), .on = on, .sd = 1.5};
    }
    if (!camera_start(s, 8, &start, &e) || !camera_improve(&ask, &start, &fit, &e))
        return false;
    struct seen_by by = {.camera = fit.camera};
    memcpy(by.cov, fit.cov, sizeof by.cov);
    const struct pixel clicks[2] = {clicked(truth, feet[0], 1.5), clicked(truth, feet[1], 1.5)};
    return measure(a, &by, &(struct clicks){clicks, 2, 1.5}, out, &e);
}

static bool holds(const struct measured *m, size_t i, struct field_place truth)
{
    const struct ellipse l = measure_ellipse(m, i);
    const double x = truth.x - m->at[i].x, y = truth.y - m->at[i].y;
    const double u = x * cos(l.angle) + y * sin(l.angle), v = y * cos(l.angle) - x * sin(l.angle);
    return pow(u / l.major, 2) + pow(v / l.minor, 2) < 1;
}

static void stated_errors_hold(void **state)
{
    (void)state;
    enum { TRIALS = 3000 };
    const struct camera truth = box_camera(1920);
    const struct field_place feet[2] = {{200, 700}, {245, 700}}; /* two steps apart */
    int tried = 0, first = 0, gaps = 0;
    double place_error = 0, gap_error = 0;
    for (int n = 0; n < TRIALS; n++) {
        struct arena a = {0};
        struct measured m;
        if (trial(&truth, feet, &a, &m)) {
            const struct length gap = measure_distance(&m, 0, 1);
            tried++;
            first += holds(&m, 0, feet[0]);
            gaps += fabs(gap.inches - 45) < gap.error;
            place_error += measure_ellipse(&m, 0).major;
            gap_error += gap.error;
        }
        arena_free(&a);
    }
    assert_true(tried > TRIALS * 0.99);
    if (fabs((double)first / tried - 0.95) > 0.02 || fabs((double)gaps / tried - 0.95) > 0.02)
        fail_msg("ellipses %.3f, gaps %.3f", (double)first / tried, (double)gaps / tried);
    assert_true(gap_error < place_error / 2); /* what both share does not count between them */
}

static void a_click_in_the_sky_is_named(void **state)
{
    (void)state;
    struct arena a = {0};
    struct measured m;
    struct err e;
    const struct seen_by by = {.camera = box_camera(1920)};
    const struct pixel clicks[2] = {{960, 700}, {960, 20}};
    assert_false(measure(&a, &by, &(struct clicks){clicks, 2, CLICK_SD_PX}, &m, &e));
    assert_string_equal(e.text, "click 2 (960,20) is on no ground");
    arena_free(&a);
}

/* A perfect camera and a click of a pixel: the ellipse is that pixel's shadow on the ground, by
 * differences. */
static void a_pixel_is_worth_what_it_covers(void **state)
{
    (void)state;
    struct arena a = {0};
    struct measured m;
    struct err e;
    struct field_place right, down;
    const struct seen_by by = {.camera = box_camera(1920)};
    const struct pixel at = {960, 600};
    assert_true(measure(&a, &by, &(struct clicks){&at, 1, 1}, &m, &e));
    assert_true(camera_place(&by.camera, (struct pixel){960.01, 600}, &right));
    assert_true(camera_place(&by.camera, (struct pixel){960, 600.01}, &down));
    const double x = hypot(right.x - m.at[0].x, right.y - m.at[0].y) * 100;
    const double y = hypot(down.x - m.at[0].x, down.y - m.at[0].y) * 100;
    const struct ellipse l = measure_ellipse(&m, 0);
    /* of two directions that are not at right angles: the sum of squares, and the area */
    assert_true(fabs((l.major * l.major + l.minor * l.minor) / 5.991464547 - (x * x + y * y)) <
                1e-2 * y * y);
    assert_true(l.major > l.minor && l.major / sqrt(5.991) > 0.99 * y);
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, stated_errors_hold);
    case_test(&all, a_click_in_the_sky_is_named);
    case_test(&all, a_pixel_is_worth_what_it_covers);
    return cases_run(&all, "measuring");
}
