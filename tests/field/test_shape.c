/* Lines and arcs against published examples. Circles: the six points of Gander, Golub & Strebel,
 * "Least-Squares Fitting of Circles and Ellipses", BIT 34, 1994; the geometric fit as scipy's
 * least_squares has it to ten digits. Lines: Pearson's data of 1901 and others, with numpy's svd. */
#include <math.h>
#include <string.h>

#include "field/shape.h"
#include "lib/cases.h"

enum { MOST = 12 };

static const struct line {
    const char *name;
    struct field_place p[MOST];
    size_t n;
    double x, y, degrees, squares; /* squares < 0: rms instead */
} lines[] = {
    {"Pearson 1901",
     {{0, 5.9},
      {.9, 5.4},
      {1.8, 4.4},
      {2.6, 4.6},
      {3.3, 3.5},
      {4.4, 3.7},
      {5.2, 2.8},
      {6.1, 2.8},
      {6.5, 2.4},
      {7.4, 1.5}},
     10,
     3.82,
     3.70,
     -28.6151689854,
     0.618572759437},
    {"a company front in steps",
     {{-16, 28},
      {-12, 28.25},
      {-8, 27.9},
      {-4, 28.1},
      {0, 28},
      {4, 27.5},
      {8, 28},
      {12, 28.2},
      {16, 28.05}},
     9,
     0,
     28,
     -0.0835887599,
     -0.203567499},
    {"a file, nearly along the other axis",
     {{10, 0}, {10.2, 4}, {9.9, 8}, {10.1, 12}, {9.8, 16}},
     5,
     10,
     8,
     -89.2835042846,
     -0.1224649},
};

static void is_the_line(void **state)
{
    const struct line *l = *state;
    struct shape_line got;
    struct err e;
    assert_true(shape_line(l->p, l->n, &got, &e));
    const double want = l->squares < 0 ? l->squares * l->squares * (double)l->n : l->squares;
    assert_true(fabs(got.through.x - l->x) < 1e-9 && fabs(got.through.y - l->y) < 1e-9);
    if (fabs(got.angle * 180 / M_PI - l->degrees) > 1e-8)
        fail_msg("%.10f degrees", got.angle * 180 / M_PI);
    if (fabs(got.squares - want) > 1e-6 * want)
        fail_msg("%.12f", got.squares);
}

static const struct arc {
    const char *name;
    struct field_place p[MOST];
    size_t n;
    double x, y, radius, squares;
} arcs[] = {
    {"Gander, Golub & Strebel",
     {{1, 7}, {2, 6}, {5, 8}, {7, 7}, {9, 5}, {3, 7}},
     6,
     4.7397824109,
     2.9835326993,
     4.7142260378,
     1.2275990782},
    {"nine performers on an arc, in steps",
     {{-8.21, 17.35},
      {-6.21, 17.01},
      {-4.17, 16.22},
      {-2.09, 16.09},
      {0, 16.10},
      {2.09, 15.84},
      {4.17, 16.51},
      {6.21, 16.77},
      {8.21, 17.54}},
     9,
     -0.0620857964,
     39.0854682134,
     23.1113862931,
     0.1602032266},
    {"four on a circle, by hand", {{8, -2}, {3, 3}, {-2, -2}, {3, -7}}, 4, 3, -2, 5, 0},
};

static void is_the_arc(void **state)
{
    const struct arc *a = *state;
    struct shape_arc got;
    struct err e;
    if (!shape_arc(a->p, a->n, &got, &e))
        fail_msg("%s", e.text);
    if (hypot(got.center.x - a->x, got.center.y - a->y) > 1e-6 ||
        fabs(got.radius - a->radius) > 1e-6 || fabs(got.squares - a->squares) > 1e-9)
        fail_msg("%.10f %.10f r %.10f, %.10f", got.center.x, got.center.y, got.radius, got.squares);
}

/* The same shape wherever it stands, however large, in whatever order. */
static void moves_with_its_points(void **state)
{
    (void)state;
    const struct arc *a = &arcs[1];
    struct field_place p[MOST];
    struct shape_arc was, now;
    struct err e;
    assert_true(shape_arc(a->p, a->n, &was, &e));
    for (size_t i = 0; i < a->n; i++) /* turned by 0.6 and 0.8, 22.5 times as large, moved */
        p[a->n - 1 - i] = (struct field_place){22.5 * (0.8 * a->p[i].x - 0.6 * a->p[i].y) + 1000,
                                               22.5 * (0.6 * a->p[i].x + 0.8 * a->p[i].y) - 500};
    assert_true(shape_arc(p, a->n, &now, &e));
    assert_true(fabs(now.radius / was.radius - 22.5) < 1e-6);
    assert_true(fabs(now.center.x - (22.5 * (0.8 * was.center.x - 0.6 * was.center.y) + 1000)) <
                1e-4);
}

static void what_is_no_shape_is_refused(void **state)
{
    (void)state;
    const struct field_place row[] = {{0, 0}, {4, 2}, {8, 4}, {12, 6}},
                             same[] = {{3, 3}, {3, 3}, {3, 3}};
    struct shape_line line;
    struct shape_arc arc;
    struct err e;
    assert_false(shape_line(row, 1, &line, &e));
    assert_non_null(strstr(e.text, "a line needs two"));
    assert_false(shape_line(same, 3, &line, &e));
    assert_false(shape_arc(row, 2, &arc, &e));
    assert_non_null(strstr(e.text, "an arc needs three"));
    assert_false(shape_arc(row, 4, &arc, &e));
    assert_non_null(strstr(e.text, "lie in a line"));
    assert_false(shape_arc((struct field_place[]){{0, 0}, {NAN, 1}, {3, 3}}, 3, &arc, &e));
    assert_true(shape_line(row, 4, &line, &e));
    assert_true(fabs(shape_off_line(&line, (struct field_place){0, 5}) - 5 * cos(line.angle)) <
                1e-12);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, lines, is_the_line);
    cases_of(&all, arcs, is_the_arc);
    case_test(&all, moves_with_its_points);
    case_test(&all, what_is_no_shape_is_refused);
    return cases_run(&all, "lines and arcs");
}
