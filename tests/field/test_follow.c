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

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_hand_held_camera_is_followed);
    case_test(&all, what_is_lost_is_said_and_found_again);
    case_test(&all, a_line_too_far_is_found_out);
    return cases_run(&all, "following the camera");
}
