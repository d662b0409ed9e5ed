/* The camera by what was pointed at alone: its stated errors against what comes out of many pointings
 * (Monte Carlo), what disagrees, what is refused. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "field/alone.h"
#include "field/chance.h"
#include "field/measure.h"
#include "lib/cases.h"

enum { MOST = 12, FT = 12 };

static const struct grid *high_school(void)
{
    return grid_named("high-school");
}

static double normal_within(double mean, double sd, double low, double high)
{
    double x;
    do
        x = mean + sd * normal();
    while (x < low || x > high);
    return x;
}

/* Boxes, lenses and grounds that differ as alone.c supposes they do; aimed at the field. */
static struct camera some_camera(void)
{
    struct camera c = {.width = 1920, .height = 1080, .half = 80 * FT};
    c.p[CAMERA_X] = between(-60, 60) * FT;
    c.p[CAMERA_Y] = normal_within(-1000, 1500, -300 * FT, -30 * FT);
    c.p[CAMERA_Z] = normal_within(480, 400, 18 * FT, 120 * FT);
    const double x = between(-30, 30) * FT - c.p[CAMERA_X],
                 y = between(50, 90) * FT - c.p[CAMERA_Y];
    c.p[CAMERA_PAN] = atan2(x, y);
    c.p[CAMERA_TILT] = atan2(c.p[CAMERA_Z], hypot(x, y));
    c.p[CAMERA_ROLL] = 0.1 * normal();
    c.p[CAMERA_FOCAL] = between(0.35, 0.7) * hypot(x, y);
    c.p[CAMERA_K1] = 0.015 * normal();
    c.p[CAMERA_CROWN] = normal_within(6, 8, 0, 30);
    return c;
}

static bool in_sight(const struct camera *c, struct field_place at, struct pixel *p)
{
    return camera_sees(c, at, p, NULL) && p->x > 0 && p->y > 0 && p->x < c->width &&
           p->y < c->height;
}

/* n spots spread over what is seen: a crossing near each of n places of the picture. */
static size_t spots(const struct camera *c, size_t n, double sd, struct pointed *out)
{
    static const double where[][2] = {{.1, .9},  {.9, .9},  {.2, .35}, {.8, .35}, {.5, .6},
                                      {.35, .8}, {.65, .8}, {.5, .4},  {.1, .6},  {.9, .6}};
    static const double depths[] = {0, 640, 1280, 1920};
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        struct pointed best = {.kind = PICK_SPOT, .number = (int)i + 1};
        double least = INFINITY;
        for (int x = -1800; x <= 1800; x += 180)
            for (int d = 0; d < 4; d++) {
                struct pixel p;
                const struct field_place on = {x, depths[d]};
                bool taken = false;
                for (size_t k = 0; k < kept; k++)
                    taken |= out[k].on.x == on.x && out[k].on.y == on.y;
                if (taken || !in_sight(c, on, &p))
                    continue;
                const double far =
                    hypot(p.x - where[i][0] * c->width, p.y - where[i][1] * c->height);
                if (far < least) {
                    least = far;
                    best.on = on;
                    best.at = p;
                }
            }
        if (!isfinite(least))
            return 0;
        best.at.x += sd * normal();
        best.at.y += sd * normal();
        out[kept++] = best;
    }
    return kept;
}

static struct pointing pointing(const struct camera *c, const struct pointed *at, size_t n)
{
    return (struct pointing){at, n, c->width, c->height, high_school()};
}

/* --- what is stated ---------------------------------------------------------------------------- */

static bool holds(const struct measured *m, struct field_place truth)
{
    const struct ellipse l = measure_ellipse(m, 0);
    const double x = truth.x - m->at[0].x, y = truth.y - m->at[0].y;
    const double u = x * cos(l.angle) + y * sin(l.angle), v = y * cos(l.angle) - x * sin(l.angle);
    return pow(u / l.major, 2) + pow(v / l.minor, 2) < 1;
}

/* A foot that is seen well inside the picture, and where it was clicked. */
static struct field_place foot(const struct camera *c, struct pixel *p)
{
    struct field_place at;
    do {
        const struct pixel near = {c->width * between(.2, .8), c->height * between(.45, .85)};
        if (!camera_place(c, near, &at))
            continue;
    } while (at.y < 0 || at.y > 1920 || !in_sight(c, at, p));
    return at;
}

static const struct stated {
    const char *name;
    size_t n;
    double sd; /* pixels of 1080 that are truly pointed by; 0: as differently as people are
                  supposed to */
    double low, high;
} stated[] = {
    /* of few spots, what is known before tells much, and these boxes are nearer than it has them */
    {"four spots, by anybody", 4, 0, .93, .985},
    {"six spots, by anybody", 6, 0, .93, .985},
    {"ten spots, by anybody", 10, 0, .93, .97},
    {"four spots, pointed at as usual", 4, 2.5, .93, 1},
    {"ten spots, pointed at as usual", 10, 2.5, .93, .97},
    {"six spots, pointed at to a pixel", 6, 1, .95, 1},
    {"six spots, very badly", 6, 8, .82, 1},
    {"ten spots, very badly", 10, 8, .87, 1},
};

/* Scaled inverse chi-squared with four degrees, as alone.h says. */
static double somebody(void)
{
    double squares = 0;
    for (int i = 0; i < 4; i++) {
        const double x = normal();
        squares += x * x;
    }
    return 2.5 * sqrt(4 / squares);
}

/* -1: refused; else whether the ellipse of a click on a foot has the foot in it. */
static int trial(const struct stated *s, struct arena *a)
{
    const struct camera truth = some_camera();
    struct pointed at[MOST];
    const size_t n = spots(&truth, s->n, s->sd > 0 ? s->sd : somebody(), at);
    const struct pointing p = pointing(&truth, at, n);
    struct alone got;
    struct err e;
    struct measured m;
    struct pixel click;
    const struct field_place stands = foot(&truth, &click);
    click.x += 1.5 * normal(), click.y += 1.5 * normal();
    if (n < s->n || !alone_fit(a, &p, &got, &e))
        return -1; /* three of four in line, say */
    struct seen_by by = {.camera = got.fit.camera};
    memcpy(by.cov, got.fit.cov, sizeof by.cov);
    return measure(a, &by, &(struct clicks){&click, 1, 1.5}, &m, &e) && holds(&m, stands);
}

static void as_often_as_stated(void **state)
{
    enum { TRIALS = SANITIZED ? 30 : 500 };
    const struct stated *s = *state;
    int tried = 0, held = 0;
    for (int i = 0; i < TRIALS; i++) {
        struct arena a = {0};
        const int got = trial(s, &a);
        tried += got >= 0;
        held += got > 0;
        arena_free(&a);
    }
    assert_true(tried > 0);
    if (SANITIZED)
        return;
    assert_true(tried > TRIALS * 9 / 10);
    const double share = (double)held / tried;
    if (share < s->low || share > s->high)
        fail_msg("%.4f of %d", share, tried);
}

/* --- lines ------------------------------------------------------------------------------------- */

/* Two pixels of a line, as far apart as the picture shows it between two places. */
static struct pointed line(const struct camera *c, enum pick_kind kind, double where, double sd)
{
    struct pointed l = {.kind = kind, .on = {where, where}, .number = 1};
    int seen = 0;
    for (int i = -1800; i <= 1920; i += 30) {
        const struct field_place on =
            kind == PICK_ALONG ? (struct field_place){i, where} : (struct field_place){where, i};
        struct pixel p;
        if ((kind == PICK_YARD_LINE && i < 0) || (kind == PICK_ALONG && i > 1800) ||
            !in_sight(c, on, &p))
            continue;
        *(seen++ ? &l.to : &l.at) = p;
    }
    assert_true(seen > 1);
    l.at.x += sd * normal(), l.at.y += sd * normal();
    l.to.x += sd * normal(), l.to.y += sd * normal();
    if (kind == PICK_ALONG)
        l.on.x = 0;
    else
        l.on.y = 0;
    return l;
}

static size_t four_lines(const struct camera *c, double sd, struct pointed out[4])
{
    out[0] = line(c, PICK_YARD_LINE, -540, sd);
    out[1] = line(c, PICK_ALONG, 0, sd);
    out[2] = line(c, PICK_YARD_LINE, 540, sd);
    out[3] = line(c, PICK_ALONG, 1280, sd);
    for (int i = 0; i < 4; i++)
        out[i].number = i + 1;
    return 4;
}

static void two_yard_lines_and_two_along_cross_in_four_spots(void **state)
{
    (void)state;
    struct arena a = {0};
    struct camera c = box_camera(1920);
    struct pointed at[5];
    struct pick *got;
    const struct pointing p = pointing(&c, at, four_lines(&c, 0, at));
    assert_int_equal(pointed_spots(&a, &p, 2, &got), 4);
    static const struct field_place on[] = {{-540, 0}, {-540, 1280}, {540, 0}, {540, 1280}};
    for (int i = 0; i < 4; i++) {
        struct pixel want;
        assert_true(camera_sees(&c, on[i], &want, NULL));
        assert_true(got[i].on.x == on[i].x && got[i].on.y == on[i].y && got[i].sd == 2);
        if (hypot(got[i].at.x - want.x, got[i].at.y - want.y) > 1e-6)
            fail_msg("%d: %.3f %.3f", i, got[i].at.x, got[i].at.y);
    }
    /* a spot that was pointed at itself is not made a second time */
    at[4] = (struct pointed){PICK_SPOT, {100, 100}, {0, 0}, {540, 0}, 5};
    const struct pointing with = pointing(&c, at, 5);
    assert_int_equal(pointed_spots(&a, &with, 2, &got), 4);
    assert_true(got[0].at.x == 100 && got[0].number == 5);
    arena_free(&a);
}

static void lines_alone_find_the_camera(void **state)
{
    (void)state;
    struct arena a = {0};
    const struct camera c = box_camera(1920);
    struct pointed at[6];
    struct alone got;
    struct err e;
    four_lines(&c, 0.5, at);
    at[4] = line(&c, PICK_YARD_LINE, 0, 0.5);
    at[5] = line(&c, PICK_ALONG, 1920, 0.5);
    at[4].number = 5, at[5].number = 6;
    const struct pointing p = pointing(&c, at, 6);
    if (!alone_fit(&a, &p, &got, &e))
        fail_msg("%s", e.text);
    if (steps_off(&c, &got.fit.camera) > 0.3)
        fail_msg("%.3f steps", steps_off(&c, &got.fit.camera));
    assert_int_equal(got.disagrees, 0);
    arena_free(&a);
}

/* --- what does not agree ----------------------------------------------------------------------- */

static const struct wrong {
    const char *name;
    size_t n, which;
    double x, y; /* added to its place on the ground: another yard line, another hash */
    bool named;
} wrongs[] = {
    {"one of six is on the next yard line", 6, 4, 180, 0, true},
    {"one of eight is on the next yard line", 8, 0, -180, 0, true},
    {"one of six is on the other hash", 6, 5, 0, 640, true},
    {"one of ten is on the other side", 10, 5, 720, 0, true},
    {"all of six agree", 6, 0, 0, 0, false},
    {"of five nobody can say which", 5, 2, 180, 0, false},
};

static void the_one_that_disagrees_is_named(void **state)
{
    const struct wrong *w = *state;
    for (int i = 0; i < 20; i++) {
        struct arena a = {0};
        struct camera c = box_camera(1920);
        struct pointed at[MOST];
        struct alone got;
        struct err e;
        struct pixel was;
        assert_int_equal(spots(&c, w->n, 2.5, at), w->n);
        at[w->which].on.x += w->x, at[w->which].on.y += w->y;
        const struct pointing p = pointing(&c, at, w->n);
        if (!alone_fit(&a, &p, &got, &e))
            fail_msg("%s", e.text);
        assert_int_equal(got.disagrees, w->named ? (int)w->which + 1 : 0);
        if (w->named) { /* by as much as the picture has between the two places, roughly */
            assert_true(camera_sees(&c, at[w->which].on, &was, NULL));
            const double far = hypot(was.x - at[w->which].at.x, was.y - at[w->which].at.y);
            if (fabs(got.off_px - far) > 0.4 * far + 10)
                fail_msg("%.1f px, not %.1f", got.off_px, far);
        }
        arena_free(&a);
    }
}

/* Who points badly at everything has not missed one of them. */
static void who_points_badly_is_not_said_to_have_missed_one(void **state)
{
    (void)state;
    int named = 0;
    for (int i = 0; i < 200; i++) {
        struct arena a = {0};
        struct camera c = box_camera(1920);
        struct pointed at[MOST];
        struct alone got;
        struct err e;
        const size_t n = spots(&c, 6 + (size_t)i % 4, 8, at);
        const struct pointing p = pointing(&c, at, n);
        if (!alone_fit(&a, &p, &got, &e))
            fail_msg("%s", e.text);
        named += got.disagrees != 0;
        arena_free(&a);
    }
    if (named > 6)
        fail_msg("%d of 200", named);
}

/* --- where a start leads nowhere ------------------------------------------------------------------- */

/* Four rough picks (15 px) of a drawn camera, 105 ft before the sideline and 60 ft up, whose homography
 * is taken apart into a camera on the ground behind the field. */
static void rough_picks_do_not_put_the_camera_behind_the_field(void **state)
{
    (void)state;
    struct arena a = {0};
    struct alone got;
    struct err e;
    const struct pointed at[4] = {{PICK_SPOT, {804.7, 544.9}, {0, 0}, {-180, 640}, 1},
                                  {PICK_SPOT, {463.8, 358.5}, {0, 0}, {-720, 1280}, 2},
                                  {PICK_SPOT, {989.8, 385.8}, {0, 0}, {0, 1280}, 3},
                                  {PICK_SPOT, {1406.8, 269.6}, {0, 0}, {720, 1920}, 4}};
    const struct pointing p = {at, 4, 1920, 1080, high_school()};
    if (!alone_fit(&a, &p, &got, &e))
        fail_msg("%s", e.text);
    assert_true(got.fit.camera.p[CAMERA_Y] < 0 && got.fit.camera.p[CAMERA_Z] > 60);
    if (got.sd > 15)
        fail_msg("%.1f px", got.sd);
    arena_free(&a);
}

static void spots_that_contradict_each_other_are_refused(void **state)
{
    (void)state;
    struct arena a = {0};
    const struct camera c = box_camera(1920);
    struct pointed at[MOST];
    struct alone got;
    struct err e;
    const struct pointing p = pointing(&c, at, spots(&c, 8, 0, at));
    const struct field_place was = at[5].on; /* left and right of the middle, interchanged */
    at[5].on = at[6].on;
    at[6].on = was;
    if (alone_fit(&a, &p, &got, &e))
        fail_msg("good to %.1f px, without %d", got.sd, got.disagrees);
    assert_int_equal(e.code, ERR_INPUT);
    assert_non_null(strstr(e.text, "the picks do not agree with each other"));
    arena_free(&a);
}

/* --- floors and what is refused ------------------------------------------------------------------- */

static void a_floor_has_no_crown(void **state)
{
    (void)state;
    struct arena a = {0};
    struct grid floor;
    struct err e;
    struct alone got;
    assert_true(grid_read("floor 90x60 ft", &floor, &e));
    struct camera c = {.width = 1920, .height = 1080, .half = 30 * FT};
    const double p[CAMERA_PARAMETERS] = {60, -40 * FT, 20 * FT, 0, 0.28, 0, 1300, 0, 0};
    memcpy(c.p, p, sizeof p);
    struct pointed at[6];
    static const struct field_place on[6] = {{-300, 0},  {300, 0}, {-360, 720},
                                             {360, 720}, {0, 360}, {180, 180}};
    for (int i = 0; i < 6; i++) {
        at[i] = (struct pointed){.kind = PICK_SPOT, .on = on[i], .number = i + 1};
        assert_true(camera_sees(&c, on[i], &at[i].at, NULL));
    }
    const struct pointing there = {at, 6, 1920, 1080, &floor};
    if (!alone_fit(&a, &there, &got, &e))
        fail_msg("%s", e.text);
    assert_true(got.fit.camera.p[CAMERA_CROWN] == 0);
    assert_true(got.fit.cov[CAMERA_CROWN][CAMERA_CROWN] == 0);
    for (int i = 0; i < 6; i++) {
        struct field_place back;
        assert_true(camera_place(&got.fit.camera, at[i].at, &back));
        assert_true(hypot(back.x - on[i].x, back.y - on[i].y) < 6);
    }
    arena_free(&a);
}

static void three_spots_and_spots_in_line_are_refused(void **state)
{
    (void)state;
    struct arena a = {0};
    struct camera c = box_camera(1920);
    struct alone got;
    struct err e;
    struct pointed at[MOST];
    struct pointing p = pointing(&c, at, spots(&c, 4, 0, at));
    p.n = 3;
    assert_false(alone_fit(&a, &p, &got, &e));
    assert_int_equal(e.code, ERR_INPUT);
    p.n = 4;
    for (int i = 0; i < 4; i++) {
        at[i].on = (struct field_place){-540 + 360 * i, 0};
        assert_true(camera_sees(&c, at[i].on, &at[i].at, NULL));
    }
    assert_false(alone_fit(&a, &p, &got, &e));
    assert_non_null(strstr(e.text, "in one line"));
    struct pointed lines[4];
    four_lines(&c, 0, lines);
    lines[1].kind = lines[3].kind = PICK_YARD_LINE; /* which never cross */
    const struct pointing along = pointing(&c, lines, 4);
    assert_false(alone_fit(&a, &along, &got, &e));
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, stated, as_often_as_stated);
    case_test(&all, two_yard_lines_and_two_along_cross_in_four_spots);
    case_test(&all, lines_alone_find_the_camera);
    cases_of(&all, wrongs, the_one_that_disagrees_is_named);
    case_test(&all, who_points_badly_is_not_said_to_have_missed_one);
    case_test(&all, rough_picks_do_not_put_the_camera_behind_the_field);
    case_test(&all, spots_that_contradict_each_other_are_refused);
    case_test(&all, a_floor_has_no_crown);
    case_test(&all, three_spots_and_spots_in_line_are_refused);
    return cases_run(&all, "picks alone");
}
