/* A camera that pans, zooms and sways, followed over frames; lost and found; a line too far. */
#include <math.h>
#include <string.h>

#include "field/chance.h"
#include "field/drawn.h"
#include "field/follow.h"
#include "lib/cases.h"

enum { FRAME_US = 40000 };

static const struct drawing how = {
    .sideline_width = 18, .turf = 95, .white = 225, .noise = 4, .people = 0.05, .seed = 3};

/* By hand: to the side in twenty seconds, closer by a quarter, and a tremble of one to three hertz. */
static struct camera moved(double s)
{
    struct camera c = box_camera(960);
    c.p[CAMERA_PAN] += 0.12 * sin(2 * M_PI * s / 20) + 0.0015 * sin(2 * M_PI * 1.3 * s);
    c.p[CAMERA_TILT] += 0.001 * sin(2 * M_PI * 2.1 * s);
    c.p[CAMERA_ROLL] += 0.001 * sin(2 * M_PI * 0.7 * s);
    c.p[CAMERA_FOCAL] *= 1 + 0.25 * s / 20;
    return c;
}

static void put(const struct camera *c, struct drawn *d)
{
    struct drawing now = how;
    now.grid = grid_named("high-school");
    draw(c, &now, d);
}

static struct follow begun(struct camera c)
{
    struct follow f;
    follow_begin(&f, &(struct follow_ask){c, grid_named("high-school"), 18});
    return f;
}

static void a_hand_held_camera_is_followed(void **state)
{
    (void)state;
    struct follow f = begun(moved(0));
    double worst = 0;
    for (int n = 0; n < 30; n++) {
        const struct camera truth = moved(n * 0.04);
        struct follow_frame frame;
        struct drawn d;
        put(&truth, &d);
        follow_frame(&f, &d.luma, (int64_t)n * FRAME_US, &frame);
        if (frame.state != FOLLOW_HELD)
            fail_msg("frame %d is lost", n);
        worst = fmax(worst, steps_off(&truth, &frame.fit.camera));
        drawn_free(&d);
    }
    if (worst > 0.05)
        fail_msg("%.3f steps", worst);
    follow_end(&f);
}

static void what_is_lost_is_said_and_found_again(void **state)
{
    (void)state;
    struct follow f = begun(box_camera(960));
    struct follow_frame frame;
    struct drawn d;
    const struct camera before = box_camera(960);
    put(&before, &d);
    follow_frame(&f, &d.luma, 0, &frame);
    assert_int_equal(frame.state, FOLLOW_HELD);
    memset(d.pixels, 90, (size_t)960 * 540); /* somebody stands before the lens */
    for (int n = 1; n < 4; n++) {
        follow_frame(&f, &d.luma, (int64_t)n * FRAME_US, &frame);
        assert_int_equal(frame.state, FOLLOW_LOST);
    }
    drawn_free(&d);
    struct camera after = box_camera(960);
    after.p[CAMERA_PAN] += 0.13; /* meanwhile the camera was turned: 80 pixels */
    after.p[CAMERA_TILT] += 0.02;
    put(&after, &d);
    int n = 4;
    do
        follow_frame(&f, &d.luma, (int64_t)n * FRAME_US, &frame);
    while (frame.state != FOLLOW_HELD && ++n < 12);
    assert_int_equal(frame.state, FOLLOW_HELD);
    assert_true(steps_off(&after, &frame.fit.camera) < 0.05);
    drawn_free(&d);
    follow_end(&f);
}

/* The lines alone cannot tell; the numbers do. */
static void a_line_too_far_is_found_out(void **state)
{
    (void)state;
    const struct camera truth = box_camera(960);
    const struct grid *g = grid_named("high-school");
    struct drawn d;
    put(&truth, &d);
    for (int side = -1; side <= 1; side++) {
        struct camera wrong = truth;
        struct follow_frame frame;
        wrong.p[CAMERA_X] += side * 180;
        struct follow f = begun(wrong);
        follow_frame(&f, &d.luma, 0, &frame);
        assert_int_equal(frame.state == FOLLOW_HELD, side == 0);
        assert_true((numbers_at_tens(&d.luma, &wrong, g) > 0) == (side == 0));
        follow_end(&f);
    }
    drawn_free(&d);
}

/* A cut to a view elsewhere: said at once, and never taken for this one. */
static void a_cut_is_said(void **state)
{
    (void)state;
    struct follow f = begun(box_camera(960));
    struct follow_frame frame;
    struct drawn d;
    const struct camera before = box_camera(960);
    put(&before, &d);
    follow_frame(&f, &d.luma, 0, &frame);
    assert_int_equal(frame.state, FOLLOW_HELD);
    drawn_free(&d);
    struct camera after = before; /* another camera, from the corner and closer */
    after.p[CAMERA_X] = 1500;
    after.p[CAMERA_Z] = 800;
    after.p[CAMERA_PAN] = -0.7;
    after.p[CAMERA_FOCAL] *= 1.3;
    put(&after, &d);
    for (int n = 1; n < 4; n++) {
        follow_frame(&f, &d.luma, (int64_t)n * FRAME_US, &frame);
        if (frame.state == FOLLOW_HELD)
            fail_msg("frame %d is held, %.2f steps off", n, steps_off(&after, &frame.fit.camera));
    }
    drawn_free(&d);
    follow_end(&f);
}

/* A fast pan smears what stands: held meanwhile or said to be lost, right after it held again. */
static void a_fast_pan_is_followed_or_said(void **state)
{
    (void)state;
    struct follow f = begun(box_camera(960));
    int lost_after = 0;
    for (int n = 0; n < 30; n++) {
        const double t = fmin(fmax(n - 5, 0), 10), fast = n > 5 && n <= 15;
        struct camera truth = box_camera(960);
        struct drawing now = how;
        struct follow_frame frame;
        struct drawn d;
        truth.p[CAMERA_PAN] += 0.012 * t;
        now.grid = grid_named("high-school");
        now.smear = fast * 0.012 * truth.p[CAMERA_FOCAL] / 2;
        now.seed = (unsigned)n + 1;
        draw(&truth, &now, &d);
        follow_frame(&f, &d.luma, (int64_t)n * FRAME_US, &frame);
        if (frame.state == FOLLOW_HELD && steps_off(&truth, &frame.fit.camera) > 0.25)
            fail_msg("frame %d is %.2f steps off", n, steps_off(&truth, &frame.fit.camera));
        lost_after += n > 20 && frame.state != FOLLOW_HELD;
        drawn_free(&d);
    }
    assert_int_equal(lost_after, 0);
    follow_end(&f);
}

/* Somebody walks past in front of the lens: a third of the picture, from one side to the other. */
static void a_person_before_the_lens_is_survived(void **state)
{
    (void)state;
    struct follow f = begun(box_camera(960));
    for (int n = 0; n < 20; n++) {
        const struct camera truth = moved(n * 0.04);
        struct follow_frame frame;
        struct drawn d;
        put(&truth, &d);
        for (int y = 0; y < 540; y++)
            memset(d.pixels + y * 960 + 32 * n, 60 + y % 40, 320);
        follow_frame(&f, &d.luma, (int64_t)n * FRAME_US, &frame);
        if (frame.state == FOLLOW_HELD && steps_off(&truth, &frame.fit.camera) > 0.1)
            fail_msg("frame %d is %.2f steps off", n, steps_off(&truth, &frame.fit.camera));
        assert_true(n < 19 || frame.state == FOLLOW_HELD);
        drawn_free(&d);
    }
    follow_end(&f);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_hand_held_camera_is_followed);
    case_test(&all, what_is_lost_is_said_and_found_again);
    case_test(&all, a_line_too_far_is_found_out);
    case_test(&all, a_cut_is_said);
    case_test(&all, a_fast_pan_is_followed_or_said);
    case_test(&all, a_person_before_the_lens_is_survived);
    return cases_run(&all, "following the camera");
}
