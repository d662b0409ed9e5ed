/* Tripods: one that never moved, one that was bumped, a hand. */
#include <math.h>
#include <stdlib.h>

#include "field/chance.h"
#include "field/still.h"
#include "lib/cases.h"

enum { FRAMES = 300, FRAME_US = 40000, BUMPED = 140 };

static struct held_at clip[FRAMES];

/* Pixels are focal lengths' parts: the box camera's is 0.62 of its width. */
static void film(double noise_px, double bump_px, double pan_px_s)
{
    for (int i = 0; i < FRAMES; i++) {
        struct camera c = box_camera(960);
        const double f = c.p[CAMERA_FOCAL];
        double pan = noise_px * normal() + pan_px_s * i / 25;
        if (i >= BUMPED)
            pan += bump_px;
        if (bump_px != 0 && i >= BUMPED && i < BUMPED + 10) /* it swings out */
            pan += 20 * sin(i * 1.3);
        c.p[CAMERA_PAN] += pan / f;
        c.p[CAMERA_TILT] += noise_px * normal() / f;
        clip[i] = (struct held_at){(int64_t)i * FRAME_US, c, noise_px};
    }
}

static void a_tripod_that_never_moved_is_recognised(void **state)
{
    (void)state;
    int64_t us[4];
    film(0.15, 0, 0);
    assert_true(still_all(clip, FRAMES));
    assert_int_equal(still_bumps(clip, FRAMES, us, 4), 0);
    for (int k = 0; k < 2; k++) /* two frames that were held wrongly */
        clip[100 + 70 * k].camera.p[CAMERA_PAN] += 0.02;
    assert_true(still_all(clip, FRAMES));
}

static void a_bumped_tripod_is_told_with_its_time(void **state)
{
    (void)state;
    int64_t us[4];
    film(0.15, 6, 0);
    assert_false(still_all(clip, FRAMES));
    assert_int_equal(still_bumps(clip, FRAMES, us, 4), 1);
    assert_true(llabs(us[0] - (int64_t)BUMPED * FRAME_US) <= 3 * FRAME_US);
}

static void a_hand_that_pans_is_no_tripod(void **state)
{
    (void)state;
    int64_t us[4];
    film(0.15, 0, 20);
    assert_false(still_all(clip, FRAMES));
    assert_int_equal(still_bumps(clip, FRAMES, us, 4), 0);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_tripod_that_never_moved_is_recognised);
    case_test(&all, a_bumped_tripod_is_told_with_its_time);
    case_test(&all, a_hand_that_pans_is_no_tripod);
    return cases_run(&all, "a camera that stands still");
}
