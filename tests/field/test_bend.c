/* Pictures that were bent behind the camera, as a telephone's stabilisation does: drawn straight, then
 * resampled through a known homography. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/bend.h"
#include "field/chance.h"
#include "field/drawn.h"
#include "field/follow.h"
#include "lib/cases.h"

static struct camera box(void)
{
    struct camera c = {.width = 1280, .height = 720, .half = 960};
    c.p[CAMERA_X] = between(-300, 300);
    c.p[CAMERA_Y] = between(-1500, -1000);
    c.p[CAMERA_Z] = between(600, 800);
    c.p[CAMERA_PAN] = between(-0.1, 0.1);
    c.p[CAMERA_TILT] = atan2(c.p[CAMERA_Z], 750 - c.p[CAMERA_Y]);
    c.p[CAMERA_FOCAL] = 1280 * between(0.8, 1.1);
    return c;
}

static void some_bend(struct camera *c, double sd)
{
    for (int k = 0; k < BENDS; k++)
        c->bend[k] = sd * normal();
}

/* --- the model ------------------------------------------------------------------------------------- */

static void a_bend_is_undone_and_its_slopes_are_differences(void **state)
{
    (void)state;
    for (int i = 0; i < 50; i++) {
        struct camera c = box();
        const struct field_place at = {between(-700, 700), between(100, 1800)};
        static const double far[CAMERA_PARAMETERS] = {1, 1, 1, 1e-4, 1e-4, 1e-4, 0.1, 1e-4, 0.1};
        struct camera_slope s;
        struct pixel p, more, less;
        struct field_place back;
        some_bend(&c, 0.01);
        assert_true(camera_is_bent(&c) && camera_sees(&c, at, &p, &s));
        assert_true(camera_place(&c, p, &back));
        assert_true(hypot(back.x - at.x, back.y - at.y) < 1e-6);
        for (int k = 0; k < CAMERA_PARAMETERS; k++) {
            struct camera one = c, other = c;
            one.p[k] += far[k];
            other.p[k] -= far[k];
            camera_sees(&one, at, &more, NULL);
            camera_sees(&other, at, &less, NULL);
            const double x = (more.x - less.x) / (2 * far[k]), y = (more.y - less.y) / (2 * far[k]);
            assert_true(fabs(x - s.by_camera[0][k]) < 1e-4 * (1 + fabs(x)));
            assert_true(fabs(y - s.by_camera[1][k]) < 1e-4 * (1 + fabs(y)));
        }
        camera_sees(&c, (struct field_place){at.x, at.y + 1}, &more, NULL);
        camera_sees(&c, (struct field_place){at.x, at.y - 1}, &less, NULL);
        assert_true(fabs((more.y - less.y) / 2 - s.by_place[1][1]) < 1e-3);
    }
}

/* --- pictures -------------------------------------------------------------------------------------- */

static double level(const struct luma *l, double x, double y)
{
    const double fx = x - 0.5, fy = y - 0.5;
    const int i = (int)floor(fx), k = (int)floor(fy);
    if (i < 0 || k < 0 || i + 1 >= l->width || k + 1 >= l->height)
        return 90;
    const uint8_t *at = l->at + (size_t)k * l->stride + i;
    const double u = fx - i, v = fy - k;
    return (1 - v) * ((1 - u) * at[0] + u * at[1]) +
           v * ((1 - u) * at[l->stride] + u * at[l->stride + 1]);
}

/* What the camera with its bend shows: drawn without, then each pixel looked up. */
static void draw_bent(const struct camera *c, unsigned long long seed, struct drawn *out)
{
    struct drawing how = {.grid = grid_named("high-school"),
                          .sideline_width = 12,
                          .turf = 95,
                          .white = 225,
                          .noise = 3,
                          .people = 0.05,
                          .seed = seed};
    struct camera straight = *c;
    memset(straight.bend, 0, sizeof straight.bend);
    draw(&straight, &how, out);
    uint8_t *bent = malloc((size_t)out->luma.width * (size_t)out->luma.height);
    assert_non_null(bent);
    for (int y = 0; y < out->luma.height; y++)
        for (int x = 0; x < out->luma.width; x++) {
            struct pixel from;
            assert_true(camera_unbent(c, (struct pixel){x + 0.5, y + 0.5}, &from));
            bent[(size_t)y * (size_t)out->luma.width + (size_t)x] =
                (uint8_t)lrint(level(&out->luma, from.x, from.y));
        }
    memcpy(out->pixels, bent, (size_t)out->luma.width * (size_t)out->luma.height);
    free(bent);
}

/* How far two cameras have the ground of the picture apart, root of the mean square, steps. */
static double apart(const struct camera *a, const struct camera *b)
{
    double squares = 0;
    int n = 0;
    for (double y = 0; y <= 1920; y += 160)
        for (double x = -1080; x <= 1080; x += 180) {
            struct pixel p;
            struct field_place at;
            if (!camera_sees(a, (struct field_place){x, y}, &p, NULL) || p.x < 0 || p.y < 0 ||
                p.x > a->width || p.y > a->height || !camera_place(b, p, &at))
                continue;
            squares += (at.x - x) * (at.x - x) + (at.y - y) * (at.y - y);
            n++;
        }
    assert_true(n > 20);
    return sqrt(squares / n) / 22.5;
}

static struct follow_frame followed(const struct camera *truth, unsigned long long seed,
                                    struct camera *unbent)
{
    const struct grid *g = grid_named("high-school");
    struct camera from = *truth;
    struct follow f;
    struct follow_frame out;
    struct drawn d;
    memset(from.bend, 0, sizeof from.bend);
    draw_bent(truth, seed, &d);
    follow_begin(&f, &(struct follow_ask){from, g, 12});
    follow_frame(&f, &d.luma, 0, &out);
    follow_end(&f);
    drawn_free(&d);
    *unbent = out.fit.camera;
    memset(unbent->bend, 0, sizeof unbent->bend);
    return out;
}

static void a_bent_picture_is_bent_back(void **state)
{
    (void)state;
    double with = 0, without = 0;
    enum { PICTURES = 6 };
    for (int i = 0; i < PICTURES; i++) {
        struct camera truth = box(), unbent;
        some_bend(&truth, 0.004); /* some three pixels at the edge */
        const struct follow_frame got = followed(&truth, 11 + (unsigned)i, &unbent);
        assert_int_equal(got.state, FOLLOW_HELD);
        assert_true(camera_is_bent(&got.fit.camera));
        with = fmax(with, apart(&truth, &got.fit.camera));
        without = fmax(without, apart(&truth, &unbent));
    }
    assert_true(with < 0.05);
    assert_true(without > 0.1);
}

static void a_straight_picture_stays_straight(void **state)
{
    (void)state;
    for (int i = 0; i < 6; i++) {
        struct camera truth = box(), unbent;
        const struct follow_frame got = followed(&truth, 31 + (unsigned)i, &unbent);
        assert_int_equal(got.state, FOLLOW_HELD);
        assert_false(camera_is_bent(&got.fit.camera));
        assert_true(apart(&truth, &got.fit.camera) < 0.05);
    }
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_bend_is_undone_and_its_slopes_are_differences);
    case_test(&all, a_bent_picture_is_bent_back);
    case_test(&all, a_straight_picture_stays_straight);
    return cases_run(&all, "bent pictures");
}
