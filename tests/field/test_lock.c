/* The camera held to painted lines, against the camera that drew them. */
#include <math.h>
#include <string.h>

#include "field/chance.h"
#include "field/drawn.h"
#include "field/left_out.h"
#include "field/lock.h"
#include "lib/cases.h"

static const bool rigid[CAMERA_PARAMETERS] = {true, true, true, true, true, true, true};

/* Against lines that were not used a good camera is good, and one whose model lacks the lens is not,
 * though its own lines seem to fit. */
static void lines_that_were_left_out_tell(void **state)
{
    (void)state;
    const struct grid *g = grid_named("high-school");
    const struct drawing how = {.grid = g,
                                .sideline_width = 18,
                                .turf = 95,
                                .white = 225,
                                .noise = 4,
                                .people = 0.05,
                                .seed = 7};
    struct left_out off[2];
    for (int bent = 0; bent < 2; bent++) {
        struct camera truth = box_camera(1280), start;
        struct paint_list paint;
        struct drawn d;
        struct lock_fit fit;
        struct err e;
        truth.p[CAMERA_K1] = bent ? -0.03 : 0;
        paint_of(g, 24, 18, &paint);
        draw(&truth, &how, &d);
        struct lock_ask ask = {.picture = &d.luma, .paint = &paint, .reach = 20, .rounds = 4};
        memcpy(ask.free, rigid, sizeof rigid);
        start = truth;
        start.p[CAMERA_K1] = 0; /* which is not free */
        if (!lock_camera(&ask, &start, &fit, &e))
            fail_msg("%s", e.text);
        ask.reach = 8;
        off[bent] = left_out_check(&ask, &fit.camera);
        assert_true(off[bent].lines >= 6);
        drawn_free(&d);
        paint_free(&paint);
    }
    if (off[0].steps > 0.03 || off[1].steps < 3 * off[0].steps)
        fail_msg("%.4f and %.4f steps", off[0].steps, off[1].steps);
}

/* Errors are summed over stretches of a line, and of noisy pictures every few pieces are looked at. */
static void the_pieces_of_a_line_follow_one_another(void **state)
{
    (void)state;
    struct paint_list paint;
    paint_of(grid_named("college"), 24, 18, &paint);
    size_t lines = 0;
    for (size_t i = 0; i < paint.n; i++)
        lines += i == 0 || paint.at[i].kind != paint.at[i - 1].kind ||
                 paint.at[i].line != paint.at[i - 1].line;
    paint_free(&paint);
    assert_int_equal(lines, 21 + 2 + 2); /* yard lines, sidelines, hash rows */
}

static const bool moving[CAMERA_PARAMETERS] = {
    [CAMERA_PAN] = true, [CAMERA_TILT] = true, [CAMERA_ROLL] = true, [CAMERA_FOCAL] = true};

static void a_moved_camera_is_found_again(void **state)
{
    (void)state;
    const struct grid *g = grid_named("high-school");
    const struct drawing how = {.grid = g,
                                .sideline_width = 18,
                                .turf = 95,
                                .white = 225,
                                .noise = 4,
                                .people = 0.05,
                                .seed = 7};
    const struct camera truth = box_camera(1280);
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
    assert_true(steps_off(&truth, &start) > 0.3);
    assert_true(off < 0.03);
    drawn_free(&d);
    paint_free(&paint);
}

static void four_rough_clicks_are_enough(void **state)
{
    (void)state;
    enum { TRIALS = 40, OFF = 15 };
    const struct grid *g = grid_named("high-school");
    const struct drawing how = {.grid = g,
                                .sideline_width = 18,
                                .turf = 95,
                                .white = 225,
                                .noise = 4,
                                .people = 0.05,
                                .seed = 7};
    const struct camera truth = box_camera(1920);
    struct paint_list paint;
    struct drawn d;
    int found = 0;
    double worst = 0;
    paint_of(g, 24, 18, &paint);
    draw(&truth, &how, &d);
    for (int n = 0; n < TRIALS; n++) {
        const struct field_place where[4] = {{-720, 0}, {720, 640}, {-720, 1280}, {720, 1920}};
        struct camera start = {.width = truth.width, .height = truth.height, .half = truth.half};
        struct pick s[4];
        struct lock_fit fit;
        struct camera_fit picks;
        struct err e;
        for (int i = 0; i < 4; i++) {
            s[i] = (struct pick){.on = where[i], .sd = 8};
            assert_true(camera_sees(&truth, where[i], &s[i].at, NULL));
            const double way = between(0, 2 * M_PI), far = between(0, OFF);
            s[i].at.x += far * cos(way);
            s[i].at.y += far * sin(way);
        }
        struct camera_ask first = {.picks = s, .n = 4};
        memcpy(first.free, rigid, sizeof rigid);
        first.prior[CAMERA_ROLL] = (struct prior){0, 0.05};
        first.prior[CAMERA_Z] = (struct prior){480, 300};
        first.prior[CAMERA_Y] = (struct prior){-1000, 800};
        struct lock_ask ask = {.picture = &d.luma, .paint = &paint, .reach = 40, .rounds = 7};
        memcpy(ask.free, rigid, sizeof rigid);
        if (!camera_start(s, 4, &start, &e) || !camera_improve(&first, &start, &picks, &e) ||
            !lock_camera(&ask, &picks.camera, &fit, &e)) {
            continue;
        }
        const double off = steps_off(&truth, &fit.camera);
        found += off < 0.05;
        worst = fmax(worst, off);
    }
    if (found < TRIALS)
        fail_msg("%d of %d within 0.05 step, worst %.3f", found, TRIALS, worst);
    drawn_free(&d);
    paint_free(&paint);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, lines_that_were_left_out_tell);
    case_test(&all, the_pieces_of_a_line_follow_one_another);
    case_test(&all, four_rough_clicks_are_enough);
    case_test(&all, a_moved_camera_is_found_again);
    return cases_run(&all, "the lock");
}
