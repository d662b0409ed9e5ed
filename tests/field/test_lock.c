/* The camera held to painted lines, against the camera that drew them. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "field/drawn.h"
#include "field/lock.h"
#include "lib/cases.h"

enum { FT = 12 };

static struct camera press_box(double width)
{
    struct camera c = {.width = width, .height = width * 9 / 16, .half = 80 * FT};
    const double at[3] = {4 * FT, -75 * FT, 45 * FT};
    memcpy(c.p, at, sizeof at);
    c.p[CAMERA_PAN] = -0.05;
    c.p[CAMERA_TILT] = 0.32;
    c.p[CAMERA_ROLL] = 0.012;
    c.p[CAMERA_FOCAL] = width * 0.62;
    return c;
}

/* Steps by which a picture's place is off, root of the mean square between the 20-yard lines. */
static double steps_off(const struct camera *truth, const struct camera *c)
{
    double sum = 0;
    int n = 0;
    for (double x = -1080; x <= 1080; x += 90)
        for (double y = 0; y <= 1920; y += 120) {
            const struct place at = {x, y};
            struct pixel p;
            struct place got;
            if (!camera_sees(truth, at, &p, NULL) || p.x < 0 || p.y < 0 || p.x > truth->width ||
                p.y > truth->height)
                continue;
            assert_true(camera_place(c, p, &got));
            sum += (pow(got.x - x, 2) + pow(got.y - y, 2)) / (22.5 * 22.5);
            n++;
        }
    assert_true(n > 100);
    return sqrt(sum / n);
}

static const bool moving[CAMERA_PARAMETERS] = {
    [CAMERA_PAN] = true, [CAMERA_TILT] = true, [CAMERA_ROLL] = true, [CAMERA_FOCAL] = true};

static void a_moved_camera_is_found_again(void **state)
{
    (void)state;
    const struct grid *g = grid_named("high-school");
    const struct drawing how = {g, 18, 95, 225, 4, 0.05, 7};
    const struct camera truth = press_box(1280);
    struct paint_list paint;
    struct drawn d;
    struct lock_fit fit;
    struct err e;
    paint_of(g, 24, 18, &paint);
    draw(&truth, &how, &d);
    struct camera start = truth;
    start.p[CAMERA_PAN] += 0.006;
    start.p[CAMERA_TILT] -= 0.004;
    start.p[CAMERA_ROLL] += 0.003;
    start.p[CAMERA_FOCAL] *= 1.005;
    struct lock_ask ask = {.picture = &d.luma, .paint = &paint, .reach = 20, .rounds = 4};
    memcpy(ask.free, moving, sizeof moving);
    if (!lock_camera(&ask, &start, &fit, &e))
        fail_msg("%s", e.text);
    const double off = steps_off(&truth, &fit.camera);
    printf("# off %.4f steps, rms %.3f px, held %zu of %zu found, %zu expected\n", off, fit.rms_px,
           fit.held, fit.found, fit.expected);
    assert_true(steps_off(&truth, &start) > 0.3);
    assert_true(off < 0.03);
    drawn_free(&d);
    paint_free(&paint);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_moved_camera_is_found_again);
    return cases_run(&all, "the lock");
}
