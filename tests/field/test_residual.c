/* How far each is off a line or an arc through all, with its error: against the textbook's variance of
 * residuals, against what comes out of many clicks (Monte Carlo), and with somebody far off among them. */
#include <math.h>
#include <string.h>

#include "field/chance.h"
#include "field/residual.h"
#include "field/solve.h"
#include "lib/cases.h"

enum { MOST = 12 };
static const double normal_95 = 1.959963984540054;

/* Clicks whose errors are each other's no business: sd inches either way. */
static struct measured alike(struct arena *a, const struct field_place *p, size_t n, double sd)
{
    struct measured m = {.n = n,
                         .at = arena_alloc(a, n * sizeof *m.at),
                         .cov = arena_alloc(a, 4 * n * n * sizeof *m.cov)};
    memcpy(m.at, p, n * sizeof *p);
    memset(m.cov, 0, 4 * n * n * sizeof *m.cov);
    for (size_t i = 0; i < 2 * n; i++)
        m.cov[i * 2 * n + i] = sd * sd;
    return m;
}

static void through(struct arena *a, const struct measured *m, bool arc, struct shape_fit *out)
{
    struct err e;
    if (!shape_through(a, m, arc, out, &e))
        fail_msg("%s", e.text);
}

/* --- published examples ----------------------------------------------------------------------------- */

/* Gander, Golub & Strebel, BIT 34, 1994: the six points and their geometric fit (test_shape.c); a unit
 * is an inch here, so that nobody is far enough off to be left out. */
static void the_published_circle(void **state)
{
    (void)state;
    static const struct field_place p[6] = {{1, 7}, {2, 6}, {5, 8}, {7, 7}, {9, 5}, {3, 7}};
    static const double x = 4.7397824109, y = 2.9835326993, r = 4.7142260378,
                        squares = 1.2275990782;
    struct arena a = {0};
    struct shape_fit got;
    const struct measured m = alike(&a, p, 6, 1);
    through(&a, &m, true, &got);
    assert_true(got.arc && got.n == 6);
    assert_true(fabs(got.circle.radius - r) < 1e-6);
    assert_true(hypot(got.circle.center.x - x, got.circle.center.y - y) < 1e-6);
    assert_true(fabs(got.rms - sqrt(squares / 6)) < 1e-6);
    for (int i = 0; i < 6; i++) {
        const double dx = p[i].x - x, dy = p[i].y - y, d = hypot(dx, dy), off = d - r;
        assert_true(fabs(got.at[i].inches - fabs(off)) < 1e-6);
        assert_true(hypot(got.at[i].off.x - off * dx / d, got.at[i].off.y - off * dy / d) < 1e-6);
    }
    arena_free(&a);
}

/* Pearson 1901 as in test_shape.c. */
static void the_published_line(void **state)
{
    (void)state;
    static const struct field_place p[10] = {{0, 5.9},   {.9, 5.4},  {1.8, 4.4}, {2.6, 4.6},
                                             {3.3, 3.5}, {4.4, 3.7}, {5.2, 2.8}, {6.1, 2.8},
                                             {6.5, 2.4}, {7.4, 1.5}};
    struct arena a = {0};
    struct shape_fit got;
    double squares = 0;
    const struct measured m = alike(&a, p, 10, 1);
    through(&a, &m, false, &got);
    for (int i = 0; i < 10; i++)
        squares += got.at[i].inches * got.at[i].inches;
    assert_true(fabs(squares - 0.618572759437) < 1e-6);
    assert_true(fabs(got.line.angle * 180 / M_PI + 28.6151689854) < 1e-8);
    arena_free(&a);
}

/* --- the variance of a residual ------------------------------------------------------------------------ */

/* sd^2 (1 - h), h the leverage: 1/n + t^2 / sum of t^2 in a line (Draper & Smith, "Applied Regression
 * Analysis", chapter on residuals; from memory); five in even distances: 0.6 0.3 0.2 0.3 0.6. */
static void in_a_line_who_stands_at_its_end_bends_it_most(void **state)
{
    (void)state;
    static const double left[5] = {0.4, 0.7, 0.8, 0.7, 0.4}, angle = 0.4;
    struct arena a = {0};
    struct field_place p[5];
    struct shape_fit got;
    for (int i = 0; i < 5; i++)
        p[i] = (struct field_place){300 + 50 * i * cos(angle), 700 + 50 * i * sin(angle)};
    const struct measured m = alike(&a, p, 5, 2);
    through(&a, &m, false, &got);
    for (int i = 0; i < 5; i++)
        if (fabs(got.at[i].error - normal_95 * 2 * sqrt(left[i])) > 1e-5)
            fail_msg("%d: %.6f", i, got.at[i].error);
    arena_free(&a);
}

/* All round a circle each has the leverage 3/n: two numbers for its middle, one for its radius. */
static void round_a_circle_everybody_bends_it_alike(void **state)
{
    (void)state;
    struct arena a = {0};
    struct field_place p[MOST];
    struct shape_fit got;
    for (int i = 0; i < MOST; i++)
        p[i] = (struct field_place){200 * cos(M_PI * i / 6), 900 + 200 * sin(M_PI * i / 6)};
    const struct measured m = alike(&a, p, MOST, 3);
    through(&a, &m, true, &got);
    for (int i = 0; i < MOST; i++)
        if (fabs(got.at[i].error - normal_95 * 3 * sqrt(1 - 3.0 / MOST)) > 1e-5)
            fail_msg("%d: %.6f", i, got.at[i].error);
    arena_free(&a);
}

/* --- somebody far off --------------------------------------------------------------------------------- */

static const struct far {
    const char *name;
    bool arc;
    size_t n;
    double off[MOST]; /* of each, outwards, inches */
} fars[] = {
    {"one of eight in a line", false, 8, {0, 0, 0, 60}},
    {"its end", false, 8, {-50}},
    {"two of eight, the same way", false, 8, {0, 0, 40, 0, 0, 0, 45}},
    {"three of nine", false, 9, {0, 60, 0, 0, 60, 0, 0, 60}},
    {"one of five", false, 5, {0, 0, 45}},
    {"one of nine in an arc", true, 9, {0, 0, 0, 0, 40}},
    {"one of nine inside it", true, 9, {0, 0, -40}},
};

static void does_not_bend_it(void **state)
{
    const struct far *f = *state;
    struct arena a = {0};
    struct field_place p[MOST];
    struct shape_fit got;
    for (size_t i = 0; i < f->n; i++) {
        const double t = -0.8 + 1.6 * (double)i / (double)(f->n - 1), r = 300 + f->off[i];
        p[i] = f->arc ? (struct field_place){r * sin(t), 900 - r * cos(t)}
                      : (struct field_place){50 * (double)i, 640 + f->off[i]};
        if (f->off[i] == 0) /* people */
            p[i].y += i % 2 ? 1 : -1;
    }
    const struct measured m = alike(&a, p, f->n, 2);
    through(&a, &m, f->arc, &got);
    for (size_t i = 0; i < f->n; i++)
        if (fabs(got.at[i].inches - fabs(f->off[i])) > 3.5)
            fail_msg("%zu: %.1f in off, not %.1f", i, got.at[i].inches, f->off[i]);
    /* his own click does not draw the shape to him: all of its error counts, and the shape's */
    for (size_t i = 0; i < f->n; i++)
        if (f->off[i] != 0)
            assert_true(got.at[i].error > normal_95 * 2);
        else
            assert_true(got.at[i].error < normal_95 * 2);
    arena_free(&a);
}

/* A line that bows has nobody who is off it alone: its ends are off to one side, its middle to the
 * other, by the straight line through all (half the bow's height and more each). */
static void a_bow_is_no_line_with_one_far_off(void **state)
{
    (void)state;
    struct arena a = {0};
    struct field_place p[6];
    struct shape_fit got;
    for (int i = 0; i < 6; i++) {
        const double t = (i - 2.5) / 2.5;
        p[i] = (struct field_place){200 + 50 * i, 640 + 40 * (1 - t * t)};
    }
    const struct measured m = alike(&a, p, 6, 2);
    through(&a, &m, false, &got);
    double sum = 0;
    for (int i = 0; i < 6; i++)
        sum += got.at[i].off.y;
    assert_true(fabs(sum) < 1e-9); /* nobody was left out */
    assert_true(got.at[0].off.y < -15 && got.at[5].off.y < -15);
    assert_true(got.at[2].off.y > 10 && got.at[3].off.y > 10);
    arena_free(&a);
}

static void what_is_no_shape_is_refused(void **state)
{
    (void)state;
    struct arena a = {0};
    static const struct field_place row[6] = {{0, 0}, {9, 0}, {18, 0}, {27, 0}, {36, 0}, {45, 0}};
    struct shape_fit got;
    struct err e;
    const struct measured m = alike(&a, row, 6, 1), one = alike(&a, row, 1, 1),
                          two = alike(&a, row, 2, 1);
    assert_false(shape_through(&a, &m, true, &got, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_false(shape_through(&a, &one, false, &got, &e));
    assert_false(shape_through(&a, &two, true, &got, &e));
    through(&a, &two, false, &got); /* two are in a line whatever they do */
    assert_true(got.at[0].inches < 1e-9 && got.at[0].error < 1e-3);
    arena_free(&a);
}

/* --- what is stated ---------------------------------------------------------------------------------------- */

static bool found(const struct camera *truth, struct seen_by *out)
{
    static const double x[] = {-720, -360, 360, 720}, y[] = {0, 1280};
    struct pick s[8];
    struct camera start = {.width = truth->width, .height = truth->height, .half = truth->half};
    struct camera_ask ask = {.picks = s, .n = 8, .free = {1, 1, 1, 1, 1, 1, 1}};
    struct camera_fit fit;
    struct err e;
    for (int i = 0; i < 8; i++) {
        s[i] = (struct pick){.on = {x[i % 4], y[i / 4]}, .sd = 1.5};
        assert_true(camera_sees(truth, s[i].on, &s[i].at, NULL));
        s[i].at.x += 1.5 * normal(), s[i].at.y += 1.5 * normal();
    }
    if (!camera_start(s, 8, &start, &e) || !camera_improve(&ask, &start, &fit, &e))
        return false;
    out->camera = fit.camera;
    memcpy(out->cov, fit.cov, sizeof out->cov);
    return true;
}

static const struct stated {
    const char *name;
    bool arc;
    double off; /* of the fourth of nine */
} stated[] = {
    {"a line", false, 0},
    {"a line with somebody far off", false, 67.5},
    {"an arc", true, 0},
    {"an arc with somebody far off", true, 67.5},
};

static void errors_hold_as_often_as_stated(void **state)
{
    enum { TRIALS = 1500, PEOPLE = 9 };
    const struct stated *s = *state;
    const struct camera truth = box_camera(1920);
    struct field_place p[PEOPLE];
    struct arena keep = {0};
    struct shape_fit want;
    int held[PEOPLE] = {0}, tried = 0;
    for (int i = 0; i < PEOPLE; i++) {
        const double t = -0.9 + 1.8 * i / (PEOPLE - 1), r = 320 + (i == 3 ? s->off : 0);
        p[i] = s->arc ? (struct field_place){100 + r * sin(t), 900 - r * cos(t)}
                      : (struct field_place){-150 + 45 * i, 640 + (i == 3 ? s->off : 0)};
    }
    const struct measured exact = alike(&keep, p, PEOPLE, 1);
    through(&keep, &exact, s->arc, &want);
    for (int n = 0; n < TRIALS; n++) {
        struct arena a = {0};
        struct seen_by by;
        struct pixel at[PEOPLE];
        struct measured m;
        struct shape_fit got;
        struct err e;
        if (!found(&truth, &by))
            continue;
        for (int i = 0; i < PEOPLE; i++) {
            assert_true(camera_sees(&truth, p[i], &at[i], NULL));
            at[i].x += 1.5 * normal(), at[i].y += 1.5 * normal();
        }
        assert_true(measure(&a, &by, &(struct clicks){at, PEOPLE, 1.5}, &m, &e));
        through(&a, &m, s->arc, &got);
        tried++;
        for (int i = 0; i < PEOPLE; i++)
            held[i] += hypot(got.at[i].off.x - want.at[i].off.x,
                             got.at[i].off.y - want.at[i].off.y) < got.at[i].error;
        arena_free(&a);
    }
    assert_true(tried > TRIALS * 99 / 100);
    for (int i = 0; i < PEOPLE; i++)
        if (fabs((double)held[i] / tried - 0.95) > 0.02)
            fail_msg("%d: %.3f", i, (double)held[i] / tried);
    arena_free(&keep);
}

/* --- the middle of all --------------------------------------------------------------------------------- */

static void the_middle_is_known_better_unless_all_are_off_together(void **state)
{
    (void)state;
    struct arena a = {0};
    const struct field_place p[4] = {{0, 0}, {50, 0}, {100, 0}, {150, 0}};
    const struct measured m = alike(&a, p, 4, 2);
    struct ellipse l = measure_middle(&m);
    assert_true(fabs(l.major - sqrt(5.991464547 * 4 / 4)) < 1e-6);
    assert_true(fabs(l.minor - l.major) < 1e-9);
    for (int i = 0; i < 8; i++) /* one error for all, more of it in depth */
        for (int k = 0; k < 8; k++)
            m.cov[i * 8 + k] = i % 2 == k % 2 ? i % 2 ? 9 : 4 : 0;
    l = measure_middle(&m);
    assert_true(fabs(l.major - sqrt(5.991464547 * 9)) < 1e-6);
    assert_true(fabs(l.minor - sqrt(5.991464547 * 4)) < 1e-6);
    assert_true(fabs(l.angle - M_PI / 2) < 1e-9);
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_published_circle);
    case_test(&all, the_published_line);
    case_test(&all, in_a_line_who_stands_at_its_end_bends_it_most);
    case_test(&all, round_a_circle_everybody_bends_it_alike);
    cases_of(&all, fars, does_not_bend_it);
    case_test(&all, a_bow_is_no_line_with_one_far_off);
    case_test(&all, what_is_no_shape_is_refused);
    cases_of(&all, stated, errors_hold_as_often_as_stated);
    case_test(&all, the_middle_is_known_better_unless_all_are_off_together);
    return cases_run(&all, "residuals");
}
