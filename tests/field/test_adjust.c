/* Several pictures of a camera that pans and zooms say more of what is fixed than one. */
#include <math.h>
#include <string.h>

#include "field/adjust.h"
#include "field/chance.h"
#include "field/drawn.h"
#include "lib/cases.h"

enum { VIEWS = 5, CLIPS = 5, WIDTH = 960 };

static struct camera any_box(void)
{
    struct camera c = box_camera(WIDTH);
    c.p[CAMERA_X] = between(-400, 400);
    c.p[CAMERA_Y] = between(-1500, -800);
    c.p[CAMERA_Z] = between(400, 800);
    c.p[CAMERA_PAN] = atan2(-c.p[CAMERA_X], 800 - c.p[CAMERA_Y]);
    c.p[CAMERA_TILT] = atan2(c.p[CAMERA_Z], 800 - c.p[CAMERA_Y]);
    c.p[CAMERA_FOCAL] = WIDTH * between(0.6, 0.8);
    c.p[CAMERA_K1] = between(-0.03, -0.01);
    c.p[CAMERA_CROWN] = between(5, 20);
    return c;
}

/* The cameras as a person's clicks may leave them: they stand a foot or two off, flat and without a
 * lens. */
static void film(const struct camera *base, struct camera truth[VIEWS], struct drawn d[VIEWS],
                 struct adjust_view views[VIEWS], unsigned long long seed)
{
    for (int v = 0; v < VIEWS; v++) {
        const struct drawing how = {.grid = grid_named("high-school"),
                                    .sideline_width = 18,
                                    .turf = 95,
                                    .white = 205,
                                    .noise = 4,
                                    .people = 0.05,
                                    .seed = seed * VIEWS + (unsigned)v + 1};
        truth[v] = *base;
        truth[v].p[CAMERA_PAN] += between(-0.15, 0.15);
        truth[v].p[CAMERA_ROLL] += between(-0.02, 0.02);
        truth[v].p[CAMERA_FOCAL] *= between(0.9, 1.2);
        draw(&truth[v], &how, &d[v]);
        views[v] = (struct adjust_view){.picture = &d[v].luma, .camera = truth[v]};
        views[v].camera.p[CAMERA_X] += between(-12, 12);
        views[v].camera.p[CAMERA_Y] += between(-24, 24);
        views[v].camera.p[CAMERA_K1] = views[v].camera.p[CAMERA_CROWN] = 0;
    }
}

static double place_off(const struct camera *truth, const struct camera *c)
{
    return hypot(hypot(c->p[CAMERA_X] - truth->p[CAMERA_X], c->p[CAMERA_Y] - truth->p[CAMERA_Y]),
                 c->p[CAMERA_Z] - truth->p[CAMERA_Z]);
}

static void several_pictures_say_more_than_one(void **state)
{
    (void)state;
    double one = 0, several = 0;
    for (int n = 0; n < CLIPS; n++) {
        const struct camera base = any_box();
        struct camera truth[VIEWS];
        struct drawn d[VIEWS];
        struct adjust_view views[VIEWS];
        struct adjustment out[2];
        struct err e;
        film(&base, truth, d, views, (unsigned)n);
        for (int k = 0; k < 2; k++) {
            const struct adjust_ask ask = {grid_named("high-school"), 20, views, k ? VIEWS : 1};
            if (!adjust(&ask, &out[k], &e))
                fail_msg("%s", e.text);
        }
        one += pow(place_off(&base, &out[0].fixed), 2) / CLIPS;
        several += pow(place_off(&base, &out[1].fixed), 2) / CLIPS;
        assert_true(out[1].lens && out[1].crown);
        assert_true(out[1].cov[CAMERA_Y][CAMERA_Y] < out[0].cov[CAMERA_Y][CAMERA_Y]);
        for (int v = 0; v < VIEWS; v++) {
            assert_true(steps_off(&truth[v], &out[1].fit[v].camera) < 0.03);
            drawn_free(&d[v]);
        }
    }
    if (!(several < one / 2) || several > 1)
        fail_msg("the camera's place: %.2f in off by one, %.2f by several", sqrt(one),
                 sqrt(several));
}

/* A picture that shows something else takes no part, and is told. */
static void a_picture_without_its_lines_is_told(void **state)
{
    (void)state;
    const struct camera base = any_box();
    struct camera truth[VIEWS];
    struct drawn d[VIEWS];
    struct adjust_view views[VIEWS];
    struct adjustment out;
    struct err e;
    film(&base, truth, d, views, 9);
    memset(d[1].pixels, 90, (size_t)WIDTH * WIDTH * 9 / 16);
    struct adjust_ask ask = {grid_named("high-school"), 20, views, 3};
    assert_true(adjust(&ask, &out, &e));
    assert_true(out.fit[0].held > 0 && out.fit[2].held > 0);
    assert_int_equal(out.fit[1].held, 0);
    ask.n = 0;
    assert_false(adjust(&ask, &out, &e));
    ask.views = &views[1];
    ask.n = 1;
    assert_false(adjust(&ask, &out, &e));
    for (int v = 0; v < VIEWS; v++)
        drawn_free(&d[v]);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, several_pictures_say_more_than_one);
    case_test(&all, a_picture_without_its_lines_is_told);
    return cases_run(&all, "one camera out of several pictures");
}
