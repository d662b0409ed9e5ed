/* Depth in inches. The field is 160 ft wide; its hash marks are 53 ft 4 in (high school) and 60 ft
 * (college) from each sideline: rule 1 of both rule books. Drill paper counts 28 28 28 and 32 20 32
 * steps between the painted lines: common practice, no source. */
#include <math.h>

#include "lib/cases.h"
#include "show/show.h"

#define FT 12.0

static const struct depth {
    const char *name, *field;
    double y, inches;
} depths[] = {
    {"the front sideline", "high-school", 0, 0},
    {"the front hash of a high school", "high-school", 28, 53 * FT + 4},
    {"its back hash", "high-school", 56, 160 * FT - (53 * FT + 4)},
    {"its back sideline", "high-school", 84, 160 * FT},
    {"four grid steps of a high school, 91.43 in", "high-school", 4, 91.428571},
    {"four behind the front hash, 60.952 ft", "high-school", 32, 60.952381 * FT},
    {"six in front of the back hash, 95.238 ft", "high-school", 50, 95.238095 * FT},
    {"the front hash of a college", "college", 32, 60 * FT},
    {"its back hash", "college", 52, 100 * FT},
    {"its back sideline", "college", 84, 160 * FT},
    {"a step in front of a college's hash, 22.5 in", "college", 1, 22.5},
    {"a step between a college's hashes, 24 in", "college", 33, 60 * FT + 24},
    {"a step behind a college's back hash, 22.5 in", "college", 53, 100 * FT + 22.5},
    {"in front of the field the front's steps go on", "college", -2, -45},
    {"and behind it those of the back", "high-school", 91, 160 * FT + 160},
};

static void is_so_deep(void **state)
{
    const struct depth *d = *state;
    const double got = grid_depth_in(grid_named(d->field), d->y);
    if (fabs(got - d->inches) > 1e-4)
        fail_msg("%.6f in, not %.6f", got, d->inches);
}

static void no_step_goes_back(void **state)
{
    (void)state;
    static const char *const fields[] = {"high-school", "college"};
    for (int f = 0; f < 2; f++)
        for (double y = -20; y < 110; y += 0.25) {
            const struct grid *g = grid_named(fields[f]);
            const double step = 4 * (grid_depth_in(g, y + 0.25) - grid_depth_in(g, y));
            assert_true(step > 22.499 && step < 24.001);
        }
    assert_null(grid_named("lawn"));
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, depths, is_so_deep);
    case_test(&all, no_step_goes_back);
    return cases_run(&all, "the field in depth");
}
