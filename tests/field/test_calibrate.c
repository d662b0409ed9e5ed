/* From four rough clicks and one picture to the camera that drew it: other boxes, lenses, crowns,
 * fields, sidelines, with people and noise. */
#include <math.h>
#include <string.h>

#include "field/chance.h"
#include "field/calibrate.h"
#include "field/drawn.h"
#include "lib/cases.h"

enum { FT = 12 };

static struct camera any_box(double width)
{
    struct camera c = {.width = width, .height = width * 9 / 16, .half = 80 * FT};
    const double at[3] = {between(-50, 50), between(-140, -60), between(28, 70)};
    const double aim[2] = {between(-30, 30) - at[0], between(50, 85) - at[1]};
    for (int i = 0; i < 3; i++)
        c.p[CAMERA_X + i] = at[i] * FT;
    c.p[CAMERA_PAN] = atan2(aim[0], aim[1]);
    c.p[CAMERA_TILT] = atan2(at[2], hypot(aim[0], aim[1]));
    c.p[CAMERA_ROLL] = between(-0.03, 0.03);
    c.p[CAMERA_FOCAL] = width * between(0.5, 0.9);
    return c;
}

static bool shows(const struct camera *c, struct field_place at, struct pixel *p)
{
    return camera_sees(c, at, p, NULL) && p->x > 0 && p->y > 0 && p->x < c->width &&
           p->y < c->height;
}

/* On one row, the crossing farthest to one side that the picture shows, up to 15 px off. */
static bool click_one(const struct camera *c, double depth, int side, struct pick *out)
{
    for (int x = 4; x > 0; x--) {
        const struct field_place at = {side * x * 360, depth};
        const double way = between(0, 2 * M_PI), far = between(0, 15);
        struct pixel p;
        if (!shows(c, at, &p))
            continue;
        *out = (struct pick){.at = {p.x + far * cos(way), p.y + far * sin(way)}, .on = at, .sd = 8};
        return true;
    }
    return false;
}

/* Four crossings far apart: two on a row in front, two on one behind. */
static bool click(const struct camera *c, const struct grid *g, struct pick s[4])
{
    const double front = between(0, 1) < 0.5 ? 0 : g->front_hash_in;
    const double back = front > 0 || between(0, 1) < 0.5 ? g->back_sideline_in : g->back_hash_in;
    return (click_one(c, front, -1, &s[0]) || click_one(c, g->front_hash_in, -1, &s[0])) &&
           (click_one(c, front, 1, &s[1]) || click_one(c, g->front_hash_in, 1, &s[1])) &&
           click_one(c, back, -1, &s[2]) && click_one(c, back, 1, &s[3]);
}

#define CLEAR .how = {.turf = 95, .white = 225, .noise = 3, .people = 0.05}
#define FADED .how = {.turf = 110, .white = 160, .noise = 8, .people = 0.1}

static const struct field {
    const char *name, *ground;
    double sideline, k1, crown; /* k1 and crown: up to so much */
    struct drawing how;
    int trials;
    double most; /* steps */
} fields[] = {
    {"a plain field", "high-school", 18, 0, 0, CLEAR, .trials = 2, .most = 0.02},
    {"a college's, with a broad border", "college", 72, 0, 0, CLEAR, .trials = 2, .most = 0.03},
    {"a professional one, thin sidelines", "professional", 4, 0, 0, CLEAR, .trials = 2,
     .most = 0.03},
    {"a lens that bends", "high-school", 18, -0.03, 0, CLEAR, .trials = 2, .most = 0.05},
    {"a crowned field", "high-school", 8, 0, 20, CLEAR, .trials = 2, .most = 0.05},
    {"both, faded and noisy", "college", 12, -0.03, 20, FADED, .trials = 2, .most = 0.1},
};

static void is_found(void **state)
{
    const struct field *f = *state;
    const struct grid *g = grid_named(f->ground);
    int tried = 0, found = 0;
    double worst = 0;
    for (int n = 0; tried < f->trials && n < 200; n++) {
        struct camera truth = any_box(1920);
        struct pick s[4];
        struct drawn d;
        struct calibration out;
        struct err e;
        truth.p[CAMERA_K1] = f->k1 * between(0.3, 1);
        truth.p[CAMERA_CROWN] = f->crown * between(0.3, 1);
        if (!click(&truth, g, s))
            continue;
        tried++;
        struct drawing how = f->how;
        how.grid = g;
        how.sideline_width = f->sideline;
        how.seed = (unsigned long long)n;
        draw(&truth, &how, &d);
        const struct calibrate_ask ask = {&d.luma, g, s, 4};
        const bool ok = calibrate(&ask, &out, &e);
        const double off = ok ? steps_off(&truth, &out.fit.camera) : INFINITY;
        found += off < f->most;
        if (!ok)
            print_message("%d: %s\n", n, e.text);
        worst = fmax(worst, off);
        drawn_free(&d);
    }
    assert_int_equal(tried, f->trials);
    if (found < tried)
        fail_msg("%d of %d within %g step, worst %.3f", found, tried, f->most, worst);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, fields, is_found);
    return cases_run(&all, "a camera from rough clicks");
}
