/* What is filmed through a lens, held against src/field/camera.c and against the formulas. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "demo/answers.h"
#include "demo/figure.h"
#include "demo/ground.h"
#include "demo/soccer.h"
#include "demo/watch.h"
#include "lib/run.h"

/* --- the paint ---------------------------------------------------------------------------------- */

struct luma_page {
    const uint8_t *at;
    int width, height;
};

/* Where a line's paint is on that row (column when `down`) near a point, pixels from the picture's
 * corner: the middle of what is brighter than the ground on either side. NAN: no such line. */
static double paint_middle(const struct luma_page *l, struct pixel near, bool down, int reach)
{
    const int row = (int)floor(down ? near.x : near.y), from = (int)floor(down ? near.y : near.x);
    double level[64], sum = 0, first = 0;
    for (int i = -reach; i <= reach; i++) {
        const int x = down ? row : from + i, y = down ? from + i : row;
        if (x < 0 || y < 0 || x >= l->width || y >= l->height)
            return NAN;
        level[i + reach] = l->at[y * l->width + x];
    }
    const double left = (level[0] + level[1]) / 2;
    const double right = (level[2 * reach] + level[2 * reach - 1]) / 2;
    for (int i = 2; i < 2 * reach - 1; i++) {
        const double more = level[i] - (i < reach ? left : right);
        sum += more;
        first += more * (from + i - reach + 0.5);
    }
    return sum > 40 ? first / sum : NAN;
}

/* Where the ground's line from a to b is seen on a row (column); bisection. */
static double on_row(const struct camera *c, struct field_place a, struct field_place b, bool down,
                     double row)
{
    struct pixel p = {0}, first;
    assert_true(camera_sees(c, a, &first, NULL));
    for (int i = 0; i < 60; i++) {
        const struct field_place m = {(a.x + b.x) / 2, (a.y + b.y) / 2};
        assert_true(camera_sees(c, m, &p, NULL));
        if (((down ? p.x : p.y) < row) == ((down ? first.x : first.y) < row))
            a = m;
        else
            b = m;
    }
    return down ? p.y : p.x;
}

/* How far off the paint is at n places, pixels; the least first. */
enum { MOST = 400 };
struct agreement {
    int n;
    double off[MOST];
};

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The paint's edges are where the camera says; the middle between them is what is seen. (It is not
 * quite what is seen of the paint's middle: perspective.) */
static void hold(struct agreement *g, const struct camera *c, const struct luma_page *l,
                 const struct field_place ends[2], bool down)
{
    const double half = down ? 9 : 2;
    const struct field_place middle = {(ends[0].x + ends[1].x) / 2, (ends[0].y + ends[1].y) / 2};
    struct pixel p, end[2];
    double edge[2];
    if (!camera_sees(c, ends[0], end, NULL) || !camera_sees(c, ends[1], end + 1, NULL) ||
        !camera_sees(c, middle, &p, NULL) || p.x < 0 || p.y < 0 || p.x > c->width ||
        p.y > c->height)
        return;
    const double row = floor(down ? p.x : p.y) + 0.5;
    for (int i = 0; i < 2; i++) {
        const double off = i == 0 ? -half : half, x = down ? 0 : off, y = down ? off : 0;
        edge[i] = on_row(c, (struct field_place){ends[0].x + x, ends[0].y + y},
                         (struct field_place){ends[1].x + x, ends[1].y + y}, down, row);
    }
    const double due = (edge[0] + edge[1]) / 2;
    const int reach = (int)fmin(31, 4 + ceil(fabs(edge[1] - edge[0]) / 2));
    const struct pixel at = {down ? row : due, down ? due : row};
    const double seen = paint_middle(l, at, down, reach);
    if (isnan(seen))
        return;
    assert_true(g->n < MOST);
    g->off[g->n++] = fabs(seen - due);
}

/* Yard lines across the field between what crosses them, and the front sideline, which is 18 in wide
 * outside of the field. */
static struct agreement paint_agrees(const struct camera *c, const struct luma_page *l)
{
    static const double depths[] = {60, 150, 330, 480, 560, 720, 860, 1000, 1180};
    struct agreement g = {0};
    for (int yards = -45; yards <= 45; yards += 5)
        for (size_t i = 0; i < sizeof depths / sizeof *depths; i++)
            hold(&g, c, l,
                 (struct field_place[]){{yards * 36, depths[i]}, {yards * 36, depths[i] + 50}},
                 false);
    for (int yards = -40; yards <= 40; yards += 4)
        hold(&g, c, l, (struct field_place[]){{yards * 36 + 10, -9}, {yards * 36 + 26, -9}}, true);
    qsort(g.off, (size_t)g.n, sizeof *g.off, by_size);
    return g;
}

static const struct shot moving = {.width = 1920,
                                   .height = 1080,
                                   .focal_px = 1920,
                                   .at = {6, -105, 60},
                                   .aim = {0, 54, 0},
                                   .crown_in = 20,
                                   .k1 = -0.03,
                                   .roll_deg = 0.8,
                                   .pan_deg = 12,
                                   .pan_s = 20,
                                   .zoom = 0.4,
                                   .sway_deg = 0.4,
                                   .bump_s = 9,
                                   .bump_deg = 1,
                                   .bump_in = 3,
                                   .seed = 4};

static void luma_of(cairo_surface_t *s, uint8_t *out)
{
    const int width = cairo_image_surface_get_width(s), height = cairo_image_surface_get_height(s);
    cairo_surface_flush(s);
    for (int y = 0; y < height; y++) {
        const unsigned char *row =
            cairo_image_surface_get_data(s) + cairo_image_surface_get_stride(s) * y;
        for (int x = 0; x < width; x++)
            out[y * width + x] = row[4 * x + 1]; /* green says enough */
    }
}

static void paint_is_where_the_camera_says_within_a_tenth_of_a_pixel(void **state)
{
    (void)state;
    static uint8_t pixels[1920 * 1080];
    const struct paint paint = {.no_numbers = true, .no_stripes = true};
    for (double at_s = 0; at_s < 18; at_s += 2.9) {
        struct shot one = moving;
        one.k1 = fmod(at_s, 2) < 1 ? -0.03 : 0.02;
        const struct view w = shot_view(&one, at_s);
        const struct camera c = shot_camera(&one, at_s);
        cairo_surface_t *s = cairo_image_surface_create(CAIRO_FORMAT_RGB24, one.width, one.height);
        cairo_t *cr = cairo_create(s);
        lines_draw(cr, &w, &paint);
        cairo_destroy(cr);
        luma_of(s, pixels);
        cairo_surface_destroy(s);
        const struct agreement g =
            paint_agrees(&c, &(struct luma_page){pixels, one.width, one.height});
        if (g.n < 60 || g.off[g.n - 1] > 0.1)
            fail_msg("at %.1f s: %d places, worst %.3f px", at_s, g.n, g.n ? g.off[g.n - 1] : 0);
    }
}

/* --- poses -------------------------------------------------------------------------------------- */

/* Written again from the words of field/camera.h, for a point at any height. */
static struct pixel by_words(const struct camera *c, double x, double y, double z)
{
    const double *p = c->p, half = c->half;
    const double crown = fabs(y - half) < half ? 1 - (y - half) / half * (y - half) / half : 0;
    const double d[3] = {x - p[CAMERA_X], y - p[CAMERA_Y],
                         z + p[CAMERA_CROWN] * crown - p[CAMERA_Z]};
    const double side = d[0] * cos(p[CAMERA_PAN]) - d[1] * sin(p[CAMERA_PAN]);
    const double ahead = d[0] * sin(p[CAMERA_PAN]) + d[1] * cos(p[CAMERA_PAN]);
    const double deep = ahead * cos(p[CAMERA_TILT]) - d[2] * sin(p[CAMERA_TILT]);
    const double below = -ahead * sin(p[CAMERA_TILT]) - d[2] * cos(p[CAMERA_TILT]);
    /* Its right side down: what it sees turns the other way. */
    const double right = side * cos(p[CAMERA_ROLL]) + below * sin(p[CAMERA_ROLL]);
    const double down = below * cos(p[CAMERA_ROLL]) - side * sin(p[CAMERA_ROLL]);
    const double u = p[CAMERA_FOCAL] * right / deep, v = p[CAMERA_FOCAL] * down / deep;
    const double d1 = 1 + p[CAMERA_K1] * (u * u + v * v) / (c->width * c->width / 4);
    return (struct pixel){c->width / 2 + u * d1, c->height / 2 + v * d1};
}

static void points_above_the_ground_are_seen_as_the_words_say(void **state)
{
    (void)state;
    for (double at_s = 0; at_s < 20; at_s += 3.7) {
        const struct view w = shot_view(&moving, at_s);
        const struct camera c = shot_camera(&moving, at_s);
        for (int i = 0; i < 60; i++) {
            const struct vec p = {-60 + 2.0 * i, 10 + 2.3 * i, i % 7};
            const struct sight is = view_sees(&w, p);
            const struct pixel due = by_words(&c, 12 * p.x, 12 * p.y, 12 * p.z);
            assert_true(fabs(is.u + 0.5 - due.x) < 1e-6 && fabs(is.v + 0.5 - due.y) < 1e-6);
            struct vec back;
            if (p.z > 0 || is.u < 0 || is.u > w.width || is.v < 0 || is.v > w.height)
                continue;
            assert_true(view_ground(&w, is.u, is.v, &back));
            assert_true(hypot(back.x - p.x, back.y - p.y) < 1e-4);
        }
    }
}

static void a_plain_view_is_the_camera_that_is_written_for_it(void **state)
{
    (void)state;
    const struct shot plain = {.width = 1280,
                               .height = 720,
                               .focal_px = 1300,
                               .at = {-20, -130, 75},
                               .aim = {15, 60, 0},
                               .pan_s = 20};
    const struct camera c = shot_camera(&plain, 3);
    const struct view is = shot_view(&plain, 3), through = view_through(&c);
    assert_true(is.plain && !through.plain);
    for (int i = 0; i < 40; i++) {
        const struct vec p = {-70 + 4.0 * i, 5 + 3.5 * i, i % 6};
        const struct sight a = view_sees(&is, p), b = view_sees(&through, p);
        assert_true(hypot(a.u - b.u, a.v - b.v) < 1e-8);
        assert_true(fabs(a.scale - b.scale) < 1e-9);
    }
}

static void each_movement_moves_what_it_is_called(void **state)
{
    (void)state;
    const struct shot still = {.width = 1280,
                               .height = 720,
                               .focal_px = 1280,
                               .at = {0, -105, 60},
                               .aim = {0, 54, 0},
                               .pan_s = 20};
    struct shot s = still;
    assert_false(shot_moves(&s));
    const struct camera c = shot_camera(&s, 0);
    s.pan_deg = 10;
    assert_true(fabs(shot_camera(&s, 5).p[CAMERA_PAN] - 10 * M_PI / 180) < 1e-12);
    assert_true(fabs(shot_camera(&s, 15).p[CAMERA_PAN] + 10 * M_PI / 180) < 1e-12);
    assert_true(shot_camera(&s, 5).p[CAMERA_TILT] == c.p[CAMERA_TILT]);
    s = still;
    s.zoom = 0.5;
    assert_true(fabs(shot_camera(&s, 8.5).p[CAMERA_FOCAL] - 1.5 * 1280) < 1e-9);
    assert_true(fabs(shot_camera(&s, 17).p[CAMERA_FOCAL] - 1280) < 1e-9);
    s = still;
    s.bump_s = 4;
    s.bump_deg = 2;
    s.bump_in = 6;
    assert_memory_equal(shot_camera(&s, 3.99).p, c.p, sizeof c.p);
    const struct camera after = shot_camera(&s, 8);
    assert_true(fabs(after.p[CAMERA_PAN] - 2 * M_PI / 180) < 1e-9);
    assert_true(fabs(after.p[CAMERA_X] - 6) < 1e-9);
    s = still;
    s.sway_deg = 0.5;
    double most = 0;
    for (double t = 0; t < 30; t += 0.01)
        most = fmax(most, fabs(shot_camera(&s, t).p[CAMERA_TILT] - c.p[CAMERA_TILT]));
    assert_true(most < 0.5 * M_PI / 180 && most > 0.3 * M_PI / 180);
}

/* --- the whole program -------------------------------------------------------------------------- */

/* A row of the CSV of cameras, from 0. */
static struct camera camera_row(const char *path, size_t n, double *ms)
{
    struct camera c = {.half = 960};
    const char *row = read_file(path, NULL);
    for (size_t i = 0; i <= n; i++)
        row = strchr(row, '\n') + 1;
    double *p = c.p;
    assert_int_equal(sscanf(row, "%lf,%lf,%lf,%lf,%lf,%lf,%lf,%lf,%lf,%lf,%lf,%lf", ms, p, p + 1,
                            p + 2, p + 3, p + 4, p + 5, p + 6, p + 7, p + 8, &c.width, &c.height),
                     12);
    return c;
}

static double median_off(const struct watched *w, const struct camera *c)
{
    const struct agreement g = paint_agrees(c, &(struct luma_page){w->last, w->width, w->height});
    return g.n < 40 ? INFINITY : g.off[g.n / 2]; /* so few are met when nothing fits */
}

/* Grass, people and the codec stand in the way of single places here, not of their middle. */
static void a_clip_shows_the_cameras_that_are_written_beside_it(void **state)
{
    (void)state;
    const struct made m = make_clip(
        "--size 1280x720 --seconds 0.5 --fps 10 --vfr --no-sound --quality 4 --preset ultrafast "
        "--crown 20 --lens -0.03 --pan 12 --zoom 1 --pan-time 4 --sway 0.5 --no-stripes");
    const struct watched w = watch(m.clip);
    double ms;
    const struct camera before = camera_row(m.cameras, w.n_frames - 2, &ms);
    const struct camera c = camera_row(m.cameras, w.n_frames - 1, &ms);
    assert_true(fabs((double)w.frame[w.n_frames - 1].us / 1000 - ms) < 0.002);
    assert_true(c.width == 1280 && c.height == 720);
    const double off = median_off(&w, &c);
    if (!(off < 0.15))
        fail_msg("%.3f px off", off);
    assert_true(median_off(&w, &before) > 1);
}

/* At how many depths a yard line's paint is met. */
static int met(const struct watched *w, const struct camera *c, int yards)
{
    const struct luma_page l = {w->last, w->width, w->height};
    struct agreement g = {0};
    for (double y = 130; y < 560; y += 40)
        hold(&g, c, &l, (struct field_place[]){{yards * 36, y}, {yards * 36, y + 30}}, false);
    return g.n;
}

static void yard_lines_are_missing_by_their_names(void **state)
{
    (void)state;
    const struct made m = make_clip("--seconds 0.1 --no-sound --quality 4 --preset ultrafast "
                                    "--no-numbers --no-stripes --missing 2:35,50,1:25");
    const struct watched w = watch(m.clip);
    double ms;
    const struct camera c = camera_row(m.cameras, 0, &ms);
    for (int yards = -25; yards <= 25; yards += 5) {
        const bool missing = yards == 15 || yards == 0 || yards == -25;
        const int n = met(&w, &c, yards);
        if (missing ? n > 2 : n < 4)
            fail_msg("%d yd from the 50: met %d times", yards, n);
    }
}

/* A still camera restores only what figures touch; one that moves draws all of every frame. */
static void nobody_leaves_a_trail_before_a_still_camera(void **state)
{
    (void)state;
#define TRAIL                                                                                      \
    "--size 640x360 --seconds 2 --fps 2 --from 4 --no-sound --quality 0 --preset ultrafast "       \
    "--lens -0.05 --roll 4 --sun 8 --no-stripes "
    const struct watched still = watch(make_clip(TRAIL).clip);
    const struct watched all = watch(make_clip(TRAIL "--sway 0.0000001").clip);
    for (int i = 0; i < 640 * 360; i++)
        if (abs(still.last[i] - all.last[i]) > 16)
            fail_msg("at %d, %d: %d and %d", i % 640, i / 640, still.last[i], all.last[i]);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(paint_is_where_the_camera_says_within_a_tenth_of_a_pixel),
        cmocka_unit_test(points_above_the_ground_are_seen_as_the_words_say),
        cmocka_unit_test(a_plain_view_is_the_camera_that_is_written_for_it),
        cmocka_unit_test(each_movement_moves_what_it_is_called),
        cmocka_unit_test(a_clip_shows_the_cameras_that_are_written_beside_it),
        cmocka_unit_test(nobody_leaves_a_trail_before_a_still_camera),
        cmocka_unit_test(yard_lines_are_missing_by_their_names),
    };
    demo_clip = argc > 1 ? argv[1] : "demo-clip";
    return cmocka_run_group_tests(tests, NULL, NULL);
}
