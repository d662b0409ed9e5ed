/* Do the 95 % ellipses hold 95 %? Cameras in many boxes, a drawn picture of each: the places of pixels
 * in the picture's middle, near and far, are compared with what the covariance says of them, and the
 * four corners of what is seen all at once: what a picture determines of its camera. */
#include <math.h>
#include <string.h>

#include "field/adjust.h"
#include "field/chance.h"
#include "field/drawn.h"
#include "field/inside.h"
#include "field/measure.h"
#include "lib/cases.h"

enum { FT = 12, WIDTH = 640, HEIGHT = 360, CAMERAS = 9, CLIPS = 2, VIEWS = 2 };

/* chi-squared, 95 % (handbook tables): of two, of eight */
static const double two_95 = 5.991, eight_95 = 15.507;

struct range {
    double from, to;
};

/* Widths of the picture; where it looks: feet from the front sideline. */
static const struct range usual = {.5, .9}, wide = {.35, .5}, tight = {1.2, 1.6};

static const struct family {
    const char *name;
    const struct range *focal;
    double sideline; /* inches */
    struct drawing how;
} families[] = {
    {"clean", &usual, 18, {.turf = 95, .white = 225, .noise = 3, .people = .03}},
    {"blurred and noisy",
     &usual,
     18,
     {.turf = 100, .white = 190, .noise = 9, .people = .03, .blur = 1}},
    {"worn and missing lines",
     &usual,
     12,
     {.turf = 100, .white = 200, .noise = 5, .people = .03, .faded = 1, .missing = .2, .blur = .5}},
    {"two games' lines",
     &usual,
     12,
     {.turf = 95, .white = 215, .noise = 4, .people = .03, .other_game = true, .blur = .5}},
    {"a low sun",
     &usual,
     12,
     {.turf = 100, .white = 210, .noise = 4, .people = .03, .shadow = .5, .ramp = 60, .blur = .5}},
    {"all of the field", &wide, 18, {.turf = 95, .white = 225, .noise = 3, .people = .03}},
    {"a part of the field", &tight, 18, {.turf = 95, .white = 225, .noise = 3, .people = .03}},
};

static struct camera any_camera(const struct family *f)
{
    struct camera c = {.width = WIDTH, .height = HEIGHT, .half = 80 * FT};
    const double at[3] = {between(-50, 50), between(-140, -60), between(28, 70)};
    const double to[2] = {between(-30, 30) - at[0], between(50, 85) - at[1]};
    for (int i = 0; i < 3; i++)
        c.p[CAMERA_X + i] = at[i] * FT;
    c.p[CAMERA_PAN] = atan2(to[0], to[1]);
    c.p[CAMERA_TILT] = atan2(at[2], hypot(to[0], to[1]));
    c.p[CAMERA_ROLL] = between(-0.03, 0.03);
    c.p[CAMERA_FOCAL] = WIDTH * between(f->focal->from, f->focal->to);
    c.p[CAMERA_K1] = between(-0.03, 0);
    c.p[CAMERA_CROWN] = between(0, 20);
    return c;
}

/* --- places ------------------------------------------------------------------------------------- */

enum { MIDDLE, NEAR, FAR, CORNERS, SPOTS = CORNERS + 4 };

/* Of the places on the field that are seen those that are most of each kind. */
static void choose(const struct camera *c, struct field_place on[SPOTS], struct pixel at[SPOTS])
{
    double most[SPOTS];
    for (int k = 0; k < SPOTS; k++)
        most[k] = -INFINITY;
    for (int x = -1680; x <= 1680; x += 140)
        for (int y = 40; y < 1920; y += 115) {
            const struct field_place p = {x, y};
            struct pixel q;
            if (!camera_sees(c, p, &q, NULL) || q.x < 9 || q.y < 9 || q.x > WIDTH - 9 ||
                q.y > HEIGHT - 9)
                continue;
            const double is[SPOTS] = {-hypot(q.x - WIDTH / 2.0, q.y - HEIGHT / 2.0),
                                      q.y,
                                      -q.y,
                                      q.x + 2 * q.y,
                                      -q.x + 2 * q.y,
                                      q.x - 2 * q.y,
                                      -q.x - 2 * q.y};
            for (int k = 0; k < SPOTS; k++)
                if (is[k] > most[k]) {
                    most[k] = is[k];
                    on[k] = p;
                    at[k] = q;
                }
        }
}

/* d' V^-1 d */
static double squared(const struct measured *m, const struct field_place *on)
{
    double low[8][8], z[8], sum = 0;
    const size_t n = 2 * m->n;
    for (size_t i = 0; i < n; i++) {
        z[i] = i % 2 ? m->at[i / 2].y - on[i / 2].y : m->at[i / 2].x - on[i / 2].x;
        for (size_t k = 0; k <= i; k++) {
            low[i][k] = m->cov[i * n + k];
            for (size_t j = 0; j < k; j++)
                low[i][k] -= low[i][j] * low[k][j];
            low[i][k] = i == k ? sqrt(fmax(low[i][k], 1e-12)) : low[i][k] / low[k][k];
        }
        for (size_t k = 0; k < i; k++)
            z[i] -= low[i][k] * z[k];
        z[i] /= low[i][i];
        sum += z[i] * z[i];
    }
    return sum;
}

/* --- how many are held --------------------------------------------------------------------------- */

struct tally {
    int n, in;        /* places */
    int cameras, all; /* corners */
    double squares;   /* of the places, those far off as much as one that is just outside */
};

static double off(const struct lock_fit *f, const struct field_place *on, const struct pixel *at,
                  size_t n)
{
    struct seen_by by = {.camera = f->camera};
    const struct clicks clicks = {at, n, 0};
    struct arena a = {0};
    struct measured m;
    struct err e;
    memcpy(by.cov, f->cov, sizeof by.cov);
    const double d = measure(&a, &by, &clicks, &m, &e) ? squared(&m, on) : INFINITY;
    arena_free(&a);
    return d;
}

static void count(const struct camera *truth, const struct lock_fit *f, struct tally *t)
{
    struct field_place on[SPOTS];
    struct pixel at[SPOTS];
    choose(truth, on, at);
    for (int k = MIDDLE; k <= FAR; k++) {
        const double d = off(f, &on[k], &at[k], 1);
        t->n++;
        t->in += d <= two_95;
        t->squares += fmin(d, two_95) / 2;
    }
    t->cameras++;
    t->all += off(f, &on[CORNERS], &at[CORNERS], SPOTS - CORNERS) <= eight_95;
}

/* --- the lock, and several pictures --------------------------------------------------------------- */

static void by_lock(const struct family *f, const struct drawing *how, struct tally *t)
{
    const struct camera truth = any_camera(f);
    struct camera start = truth;
    struct paint_list paint;
    struct lock_fit fit;
    struct drawn d;
    struct err e;
    draw(&truth, how, &d);
    paint_of(how->grid, 24, how->sideline_width, &paint);
    struct lock_ask ask = {
        .picture = &d.luma, .paint = &paint, .reach = 5, .rounds = 5, .width_sd = 12};
    for (int k = 0; k < CAMERA_PARAMETERS; k++) {
        ask.free[k] = true;
        ask.prior[k] = usual_prior(k);
    }
    start.p[CAMERA_PAN] += 0.002;
    start.p[CAMERA_X] += 6;
    if (!lock_camera(&ask, &start, &fit, &e))
        fail_msg("%s", e.text);
    count(&truth, &fit, t);
    drawn_free(&d);
    paint_free(&paint);
}

static void by_adjust(const struct family *f, const struct drawing *like, struct tally *t)
{
    const struct camera base = any_camera(f);
    struct camera truth[VIEWS];
    struct drawn d[VIEWS];
    struct adjust_view views[VIEWS];
    struct adjustment out;
    struct err e;
    for (int v = 0; v < VIEWS; v++) {
        struct drawing how = *like;
        how.seed += (unsigned)v * 1000; /* fresh noise, and what the seed says of the paint */
        truth[v] = base;
        truth[v].p[CAMERA_PAN] += between(-0.1, 0.1);
        truth[v].p[CAMERA_FOCAL] *= between(0.9, 1.1);
        draw(&truth[v], &how, &d[v]);
        views[v] = (struct adjust_view){.picture = &d[v].luma, .camera = truth[v]};
        views[v].camera.p[CAMERA_X] += 6;
    }
    if (!adjust(&(struct adjust_ask){like->grid, like->sideline_width, views, VIEWS}, &out, &e))
        fail_msg("%s", e.text);
    for (int v = 0; v < VIEWS; v++) {
        if (out.fit[v].held > 0)
            count(&truth[v], &out.fit[v], t);
        drawn_free(&d[v]);
    }
}

static struct tally total;

/* A family by itself is a dozen cameras: a place or two more may be outside than all of them may have. */
static void holds_what_it_says(void **state)
{
    const struct family *f = *state;
    struct tally t = {0};
    struct drawing how = f->how;
    how.grid = grid_named("high-school");
    how.sideline_width = f->sideline;
    for (int n = 0; n < CAMERAS; n++) {
        how.seed++;
        by_lock(f, &how, &t);
    }
    for (int n = 0; n < CLIPS; n++) {
        how.seed++;
        by_adjust(f, &how, &t);
    }
    print_message("%d of %d places, corners %d of %d, squares %.2f\n", t.in, t.n, t.all, t.cameras,
                  t.squares / t.n);
    total.n += t.n;
    total.in += t.in;
    total.cameras += t.cameras;
    total.all += t.all;
    if (t.in < 0.87 * t.n)
        fail_msg("%d of %d places are in their 95 %% ellipses", t.in, t.n);
    if (t.squares < 0.15 * t.n)
        fail_msg("errors are a %.2f of what is said of them", sqrt(t.squares / t.n));
}

static void all_together_hold_it(void **state)
{
    (void)state;
    assert_true(total.n > 250);
    if (total.in < 0.93 * total.n || total.all < 0.85 * total.cameras)
        fail_msg("%d of %d places, %d of %d cameras by their corners", total.in, total.n, total.all,
                 total.cameras);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, families, holds_what_it_says);
    case_test(&all, all_together_hold_it);
    return cases_run(&all, "what is said of errors");
}
