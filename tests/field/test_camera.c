/* The camera against numbers from outside, its slopes against differences, there and back. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "field/chance.h"
#include "field/camera.h"
#include "lib/cases.h"

enum { FT = 12 };

static struct camera aimed(const double at[3], const double aim[3], double roll, double focal)
{
    struct camera c = {.width = 1920, .height = 1080, .half = 80 * FT};
    const double v[3] = {aim[0] - at[0], aim[1] - at[1], aim[2] - at[2]};
    for (int i = 0; i < 3; i++)
        c.p[CAMERA_X + i] = at[i] * FT;
    c.p[CAMERA_PAN] = atan2(v[0], v[1]);
    c.p[CAMERA_TILT] = atan2(-v[2], hypot(v[0], v[1]));
    c.p[CAMERA_ROLL] = roll;
    c.p[CAMERA_FOCAL] = focal;
    return c;
}

static struct camera press_box(void)
{
    return aimed((double[3]){12, -95, 42}, (double[3]){3, 75, 0}, 1.5 * M_PI / 180, 1000);
}

/* A simulated press-box camera, its pixels reckoned with numpy as K R [I | -C] (a pinhole at
 * (12, -95, 42) ft that looks at (3, 75, 0), rolled by 1.5 degrees, focal length 1000 px). */
static void a_pinhole_shows_what_another_program_says(void **state)
{
    (void)state;
    static const double known[][4] = {
        {-60, 0, 332.714600897, 718.409602812},
        {60, 0, 1495.852929182, 713.205384342},
        {-105, 160 / 3.0, 279.129464980, 581.698785128},
        {105, 160 / 3.0, 1636.368179500, 565.725558859},
        {-105, 320 / 3.0, 457.265191237, 510.887786999},
        {105, 320 / 3.0, 1474.576578864, 495.226717153},
        {-120, 160, 509.859792113, 468.865758699},
        {120, 160, 1439.826765136, 452.532674611},
        {3, 75, 960, 540},
    };
    const struct camera c = press_box();
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        const struct field_place at = {known[i][0] * FT, known[i][1] * FT};
        struct pixel seen;
        struct field_place back;
        assert_true(camera_sees(&c, at, &seen, NULL));
        if (fabs(seen.x - known[i][2]) > 1e-6 || fabs(seen.y - known[i][3]) > 1e-6)
            fail_msg("%g %g ft: %.9f %.9f", known[i][0], known[i][1], seen.x, seen.y);
        assert_true(camera_place(&c, seen, &back));
        assert_true(fabs(back.x - at.x) < 1e-6 && fabs(back.y - at.y) < 1e-6);
    }
}

/* The horizon of that camera: 0.02618592156919 x + y = 318.3405879104. */
static void the_sky_is_no_place(void **state)
{
    (void)state;
    const struct camera c = press_box();
    struct field_place at;
    for (double x = 0; x <= 1920; x += 160) {
        const double horizon = 318.3405879104 - 0.02618592156919 * x;
        assert_false(camera_place(&c, (struct pixel){x, horizon - 0.5}, &at));
        assert_false(camera_place(&c, (struct pixel){x, -1e6}, &at));
        assert_true(camera_place(&c, (struct pixel){x, horizon + 90}, &at));
    }
    assert_false(camera_place(&c, (struct pixel){NAN, 500}, &at));
}

/* --- any camera ------------------------------------------------------------------------------- */

static struct camera any_camera(void)
{
    const double at[3] = {between(-60, 60), between(-180, -40), between(20, 80)};
    const double aim[3] = {between(-40, 40), between(50, 100), 0};
    struct camera c = aimed(at, aim, between(-0.05, 0.05), between(700, 1800));
    c.p[CAMERA_K1] = between(-0.05, 0.03);
    c.p[CAMERA_CROWN] = between(0, 20);
    return c;
}

static void the_way_back_leads_to_where_it_began(void **state)
{
    (void)state;
    int seen = 0;
    for (int n = 0; n < 400; n++) {
        const struct camera c = any_camera();
        for (int k = 0; k < 40; k++) {
            const struct field_place at = {between(-1800, 1800), between(-200, 2100)};
            struct pixel p;
            struct field_place back;
            if (!camera_sees(&c, at, &p, NULL) || p.x < 0 || p.x > 1920 || p.y < 0 || p.y > 1080)
                continue;
            seen++;
            assert_true(camera_place(&c, p, &back));
            if (hypot(back.x - at.x, back.y - at.y) > 1e-4)
                fail_msg("%g %g became %g %g", at.x, at.y, back.x, back.y);
        }
    }
    assert_true(seen > 5000);
}

static struct pixel see(const struct camera *c, struct field_place at)
{
    struct pixel p;
    assert_true(camera_sees(c, at, &p, NULL));
    return p;
}

static void close_to(double got, double want, const char *what, int i)
{
    if (fabs(got - want) > 1e-4 * (1 + fabs(want)))
        fail_msg("%s %d: %.9g, by differences %.9g", what, i, got, want);
}

static void slopes_are_those_of_differences(void **state)
{
    (void)state;
    static const double step[CAMERA_PARAMETERS] = {1e-2, 1e-2, 1e-2, 1e-6, 1e-6,
                                                   1e-6, 1e-2, 1e-5, 1e-2};
    for (int n = 0; n < 200; n++) {
        const struct camera c = any_camera();
        const struct field_place at = {between(-400, 400), between(100, 1800)};
        struct camera_slope s;
        struct pixel p;
        if (!camera_sees(&c, at, &p, &s))
            continue;
        for (int i = 0; i < CAMERA_PARAMETERS; i++) {
            struct camera less = c, more = c;
            less.p[i] -= step[i];
            more.p[i] += step[i];
            const struct pixel a = see(&less, at), b = see(&more, at);
            close_to(s.by_camera[0][i], (b.x - a.x) / (2 * step[i]), "x by parameter", i);
            close_to(s.by_camera[1][i], (b.y - a.y) / (2 * step[i]), "y by parameter", i);
        }
        for (int i = 0; i < 2; i++) {
            struct field_place less = at, more = at;
            *(i ? &less.y : &less.x) -= 1e-2;
            *(i ? &more.y : &more.x) += 1e-2;
            const struct pixel a = see(&c, less), b = see(&c, more);
            close_to(s.by_place[0][i], (b.x - a.x) / 2e-2, "x by place", i);
            close_to(s.by_place[1][i], (b.y - a.y) / 2e-2, "y by place", i);
        }
    }
}

/* By the definition: k1 moves the middle of the left edge by its share; the crown is highest
 * halfway between the sidelines, and the camera below it sees none of the ground behind. */
static void a_lens_and_a_crown_are_what_they_say(void **state)
{
    (void)state;
    struct camera c = press_box();
    struct field_place at;
    struct pixel p;
    assert_true(camera_place(&c, (struct pixel){0, 540}, &at));
    c.p[CAMERA_K1] = -0.02;
    assert_true(camera_sees(&c, at, &p, NULL));
    assert_true(fabs(p.x - 960 * 0.02) < 1e-6 && fabs(p.y - 540) < 1e-6);
    c.p[CAMERA_CROWN] = 20;
    assert_true(camera_ground(&c, 960) == 20 && fabs(camera_ground(&c, 480) - 15) < 1e-12);
    assert_true(camera_ground(&c, 0) == 0 && camera_ground(&c, -40) == 0);
    c = press_box();
    const struct pixel flat = see(&c, (struct field_place){0, 960});
    c.p[CAMERA_CROWN] = 20;
    assert_true(see(&c, (struct field_place){0, 960}).y < flat.y - 3);
}

/* OpenCV 4.6.0, cv2.undistortPointsIter (opencv_lens.py beside this file): 120 cameras, six pixels each. */
static void a_pixel_through_the_lens_is_where_opencv_has_it(void **state)
{
    (void)state;
    FILE *f = fopen(OPENCV_LENS, "r");
    int n = 0;
    assert_non_null(f);
    struct camera c = {.width = 1920, .height = 1080, .half = 960};
    for (; fscanf(f, "%lf %lf %lf %lf %lf %lf %lf %lf", &c.p[0], &c.p[1], &c.p[2], &c.p[3], &c.p[4],
                  &c.p[5], &c.p[6], &c.p[7]) == 8;
         n++)
        for (int i = 0; i < 6; i++) {
            struct pixel at, back;
            struct field_place want, got;
            assert_int_equal(fscanf(f, "%lf %lf %lf %lf", &at.x, &at.y, &want.x, &want.y), 4);
            assert_true(camera_place(&c, at, &got));
            if (hypot(got.x - want.x, got.y - want.y) > 1e-5)
                fail_msg("camera %d: %.9g, %.9g, OpenCV has %.9g, %.9g", n, got.x, got.y, want.x,
                         want.y);
            assert_true(camera_sees(&c, want, &back, NULL));
            assert_true(hypot(back.x - at.x, back.y - at.y) < 1e-5);
        }
    fclose(f);
    assert_int_equal(n, 120);
}

static void what_is_behind_is_not_seen(void **state)
{
    (void)state;
    const struct camera c = press_box();
    struct pixel p;
    assert_false(camera_sees(&c, (struct field_place){144, -3000}, &p, NULL));
    assert_false(camera_sees(&c, (struct field_place){NAN, 0}, &p, NULL));
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_pinhole_shows_what_another_program_says);
    case_test(&all, the_sky_is_no_place);
    case_test(&all, the_way_back_leads_to_where_it_began);
    case_test(&all, slopes_are_those_of_differences);
    case_test(&all, a_lens_and_a_crown_are_what_they_say);
    case_test(&all, a_pixel_through_the_lens_is_where_opencv_has_it);
    case_test(&all, what_is_behind_is_not_seen);
    return cases_run(&all, "the camera");
}
