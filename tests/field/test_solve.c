/* Cameras out of picks: against OpenCV, against true cameras, and what is refused. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "field/chance.h"
#include "field/solve.h"
#include "lib/cases.h"

enum { FT = 12, SPOTS = 32 };

static const bool all_but_crown[CAMERA_PARAMETERS] = {true, true, true, true, true,
                                                      true, true, true, false};
static const bool pinhole[CAMERA_PARAMETERS] = {true, true, true,  true, true,
                                                true, true, false, false};

static double homography_squares(const double h[9], const struct pick *s, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        const double x = s[i].on.x, y = s[i].on.y, w = h[6] * x + h[7] * y + h[8];
        const double u = (h[0] * x + h[1] * y + h[2]) / w - s[i].at.x;
        const double v = (h[3] * x + h[4] * y + h[5]) / w - s[i].at.y;
        sum += u * u + v * v;
    }
    return sum;
}

/* --- OpenCV 4.6.0 (opencv.py beside this file) -------------------------------------------------- */

struct outside {
    struct camera camera; /* its picture alone */
    struct pick picks[SPOTS];
    size_t n;
    double homography, one; /* sums of squares */
};

static bool next_outside(FILE *f, struct outside *out)
{
    *out = (struct outside){.camera.half = 80 * FT};
    if (fscanf(f, " camera %lf %lf %zu %lf %lf", &out->camera.width, &out->camera.height, &out->n,
               &out->homography, &out->one) != 5)
        return false;
    assert_true(out->n <= SPOTS);
    for (size_t i = 0; i < out->n; i++) {
        struct pick *s = &out->picks[i];
        assert_int_equal(fscanf(f, "%lf %lf %lf %lf", &s->on.x, &s->on.y, &s->at.x, &s->at.y), 4);
        s->on = (struct field_place){s->on.x * FT, s->on.y * FT};
        s->sd = 1;
    }
    return true;
}

/* Theirs keeps points in 32 bits: its least may be a little more than ours, and never less. */
static void is_least(double ours, double theirs, const char *what, int i)
{
    if (ours > theirs * (1 + 1e-6) + 1e-6 || ours < theirs * (1 - 2e-3))
        fail_msg("%s %d: %.9f, OpenCV has %.9f", what, i, ours, theirs);
}

static void the_least_miss_is_that_of_opencv(void **state)
{
    (void)state;
    FILE *f = fopen(OPENCV, "r");
    struct outside o;
    int n = 0;
    assert_non_null(f);
    for (; next_outside(f, &o); n++) {
        struct err e;
        double h[9];
        struct camera_fit fit;
        struct camera_ask ask = {.picks = o.picks, .n = o.n};
        memcpy(ask.free, all_but_crown, sizeof ask.free);
        if (!homography_fit(o.picks, o.n, h, &e) || !camera_start(o.picks, o.n, &o.camera, &e) ||
            !camera_improve(&ask, &o.camera, &fit, &e))
            fail_msg("camera %d: %s", n, e.text);
        is_least(homography_squares(h, o.picks, o.n), o.homography, "homography", n);
        is_least(fit.chi2, o.one, "camera", n);
        assert_int_equal(fit.freedom, (int)o.n * 2 - 8);
    }
    fclose(f);
    assert_int_equal(n, 120);
}

/* Unit square to four pixels by hand: 174/11, 182/11, 1310/11, 18/55, 16/55. */
static void a_square_by_hand(void **state)
{
    (void)state;
    static const double want[9] = {136, 174 / 11.0, 10,        182 / 11.0, 1310 / 11.0,
                                   10,  18 / 55.0,  16 / 55.0, 1};
    struct pick s[4] = {{.at = {10, 10}, .on = {0, 0}},
                        {.at = {110, 20}, .on = {100, 0}},
                        {.at = {100, 90}, .on = {100, 100}},
                        {.at = {20, 100}, .on = {0, 100}}};
    double h[9];
    struct err e;
    for (int i = 0; i < 4; i++)
        s[i].sd = 1;
    assert_true(homography_fit(s, 4, h, &e));
    for (int i = 0; i < 9; i++) /* the square is 100 wide here */
        if (fabs(h[i] * (i % 3 < 2 ? 100 : 1) - want[i]) > 1e-9)
            fail_msg("%d: %.12g", i, h[i]);
}

/* --- true cameras ------------------------------------------------------------------------------ */

static struct camera any_camera(void)
{
    struct camera c = {.width = 1920, .height = 1080, .half = 80 * FT};
    const double at[3] = {between(-60, 60), between(-180, -40), between(20, 80)};
    const double aim[2] = {between(-40, 40) - at[0], between(50, 100) - at[1]};
    for (int i = 0; i < 3; i++)
        c.p[CAMERA_X + i] = at[i] * FT;
    c.p[CAMERA_PAN] = atan2(aim[0], aim[1]);
    c.p[CAMERA_TILT] = atan2(at[2], hypot(aim[0], aim[1]));
    c.p[CAMERA_ROLL] = between(-0.05, 0.05);
    c.p[CAMERA_FOCAL] = between(700, 1600);
    return c;
}

/* Where lines cross hashes and sidelines, as far as the picture shows them. */
static size_t look(const struct camera *c, double noise, struct pick *out, size_t most)
{
    static const double depths[] = {0, 640, 1280, 1920};
    size_t n = 0;
    for (int x = -1800; x <= 1800; x += 360)
        for (size_t d = 0; d < 4; d++) {
            struct pick s = {.on = {x, depths[d]}, .sd = noise > 0 ? noise : 1};
            if (n == most || !camera_sees(c, s.on, &s.at, NULL) || s.at.x < 0 ||
                s.at.x > c->width || s.at.y < 0 || s.at.y > c->height)
                continue;
            s.at.x += noise * normal();
            s.at.y += noise * normal();
            out[n++] = s;
        }
    return n;
}

static void what_was_seen_without_error_is_found_without(void **state)
{
    (void)state;
    int found = 0;
    for (int n = 0; n < 200; n++) {
        const struct camera c = any_camera();
        struct camera_fit fit;
        struct camera start = {.width = c.width, .height = c.height, .half = c.half};
        struct pick s[SPOTS];
        struct err e;
        const size_t seen = look(&c, 0, s, SPOTS);
        struct camera_ask ask = {.picks = s, .n = seen};
        memcpy(ask.free, pinhole, sizeof ask.free);
        if (seen < 6)
            continue;
        if (!camera_start(s, seen, &start, &e) || !camera_improve(&ask, &start, &fit, &e))
            fail_msg("%d: %s", n, e.text);
        found++;
        for (int i = 0; i < 3; i++)
            if (fabs(fit.camera.p[i] - c.p[i]) > 1e-3)
                fail_msg("%d: %g in, not %g", n, fit.camera.p[i], c.p[i]);
        assert_true(fabs(fit.camera.p[CAMERA_FOCAL] - c.p[CAMERA_FOCAL]) < 1e-3);
        assert_true(fit.rms_px < 1e-6);
    }
    assert_true(found > 150);
}

/* Of a normal vector of so many free directions, the squared distance in units of its covariance is
 * chi-squared: 0.95 of them are below these (handbook tables: 1: 3.841, 2: 5.991). */
static void stated_errors_hold(void **state)
{
    (void)state;
    enum { TRIALS = 4000 };
    const struct camera c = any_camera();
    const struct field_place somewhere = {200, 1000};
    int tried = 0, held = 0, ellipse = 0;
    for (int n = 0; n < TRIALS; n++) {
        struct camera_fit fit;
        struct camera start = {.width = c.width, .height = c.height, .half = c.half};
        struct pick s[SPOTS];
        struct err e;
        struct pixel truth, got;
        struct camera_slope slope;
        struct camera_ask ask = {.picks = s, .n = look(&c, 1.5, s, 14)};
        memcpy(ask.free, pinhole, sizeof ask.free);
        if (!camera_start(s, ask.n, &start, &e) || !camera_improve(&ask, &start, &fit, &e))
            continue;
        tried++;
        const double z =
            (fit.camera.p[CAMERA_Z] - c.p[CAMERA_Z]) / sqrt(fit.cov[CAMERA_Z][CAMERA_Z]);
        held += z * z < 3.841;
        /* where the camera would have a place of the ground */
        assert_true(camera_sees(&c, somewhere, &truth, NULL));
        assert_true(camera_sees(&fit.camera, somewhere, &got, &slope));
        double v[2][2] = {{0}};
        for (int a = 0; a < 2; a++)
            for (int b = 0; b < 2; b++)
                for (int i = 0; i < CAMERA_PARAMETERS; i++)
                    for (int k = 0; k < CAMERA_PARAMETERS; k++)
                        v[a][b] += slope.by_camera[a][i] * fit.cov[i][k] * slope.by_camera[b][k];
        const double dx = got.x - truth.x, dy = got.y - truth.y;
        const double d2 = (dx * dx * v[1][1] - 2 * dx * dy * v[0][1] + dy * dy * v[0][0]) /
                          (v[0][0] * v[1][1] - v[0][1] * v[0][1]);
        ellipse += d2 < 5.991;
    }
    assert_true(tried > TRIALS * 0.99);
    if (fabs((double)held / tried - 0.95) > 0.02 || fabs((double)ellipse / tried - 0.95) > 0.02)
        fail_msg("height %.3f, ellipses %.3f of %d", (double)held / tried, (double)ellipse / tried,
                 tried);
}

/* Two pixels of a line say as much across it as the line itself; four clicks and three lines. */
static void lines_help(void **state)
{
    (void)state;
    int found = 0;
    for (int n = 0; n < 100; n++) {
        const struct camera c = any_camera();
        struct camera_fit fit;
        struct camera start = {.width = c.width, .height = c.height, .half = c.half};
        struct pick s[SPOTS];
        struct err e;
        const size_t seen = look(&c, 0, s, 8);
        size_t all = seen;
        if (seen < 8)
            continue;
        for (int k = 0; k < 8;
             k++) { /* two pixels on each of two yard lines and of two sidelines */
            const bool yard = k < 4;
            struct pick *l = &s[all];
            const struct field_place on =
                yard ? (struct field_place){k < 2 ? -180 : 180, k % 2 ? 300 : 1500}
                     : (struct field_place){k % 2 ? -300 : 300, k < 6 ? 0 : 1920};
            *l = (struct pick){.kind = yard ? PICK_YARD_LINE : PICK_ALONG, .on = on, .sd = 1};
            all += camera_sees(&c, on, &l->at, NULL);
        }
        struct camera_ask ask = {.picks = s, .n = all};
        memcpy(ask.free, pinhole, sizeof ask.free);
        if (!camera_start(s, seen, &start, &e))
            fail_msg("%s", e.text);
        start.p[CAMERA_X] += 60; /* the start knows the spots alone */
        start.p[CAMERA_PAN] += 0.01;
        if (!camera_improve(&ask, &start, &fit, &e))
            fail_msg("%s", e.text);
        if (fit.rms_px > 1e-6)
            fail_msg("%d: rms %g", n, fit.rms_px);
        found++;
    }
    assert_true(found > 50);
}

/* --- what is refused --------------------------------------------------------------------------- */

static struct pick at(double u, double v, double x, double y)
{
    return (struct pick){.at = {u, v}, .on = {x, y}, .sd = 1};
}

static void refused(const struct pick *s, size_t n, const char *said)
{
    struct camera c = {.width = 1920, .height = 1080, .half = 80 * FT};
    struct err e;
    assert_false(camera_start(s, n, &c, &e));
    if (!strstr(e.text, said))
        fail_msg("%s", e.text);
}

static void picks_that_say_nothing_are_refused(void **state)
{
    (void)state;
    const struct pick front = at(332, 718, -720, 0), right = at(1495, 713, 720, 0),
                      back = at(510, 469, -1440, 1920), corner = at(1440, 452, 1440, 1920),
                      middle = at(914, 715, 0, 0);
    refused((struct pick[]){front, right, back}, 3, "3 picks; a camera needs four");
    refused((struct pick[]){front, right, back, front}, 4,
            "picks 1 and 4 are the same spot of the ground");
    refused((struct pick[]){front, right, back, at(332, 718, 0, 640)}, 4,
            "picks 1 and 4 are the same pixel of the picture");
    refused((struct pick[]){front, right, middle, back}, 4, "picks 1, 2, 3 lie in one line");
    refused((struct pick[]){front, right, back, at(NAN, 3, 1440, 1920)}, 4, "pick 4 has no place");
    /* two interchanged */
    refused((struct pick[]){at(1495, 713, -720, 0), at(332, 718, 720, 0), back, corner}, 4,
            "a part of the ground would be behind the camera");
    /* left and right mixed up: the ground from below */
    refused((struct pick[]){at(1495, 713, -720, 0), at(332, 718, 720, 0),
                            at(1440, 452, -1440, 1920), at(510, 469, 1440, 1920)},
            4, "from below");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_least_miss_is_that_of_opencv);
    case_test(&all, a_square_by_hand);
    case_test(&all, what_was_seen_without_error_is_found_without);
    case_test(&all, stated_errors_hold);
    case_test(&all, lines_help);
    case_test(&all, picks_that_say_nothing_are_refused);
    return cases_run(&all, "cameras out of picks");
}
