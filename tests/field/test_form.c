/* A form that stands off as a whole, and somebody in it who is off by himself. */
#include <math.h>
#include <string.h>

#include "field/chance.h"
#include "field/form.h"
#include "lib/cases.h"

enum { FILES = 6, ROWS = 4, ALL = FILES * ROWS };

static const double step = 22.5;

static void block(struct field_place dots[ALL])
{
    for (int i = 0; i < ALL; i++)
        dots[i] = (struct field_place){(i % FILES) * 2 * step, (i / FILES) * 2 * step + 640};
}

static const struct form {
    const char *name;
    double right, back, scale; /* steps, steps, of the whole form */
    int who;                   /* off by himself, -1 nobody */
    double by;                 /* steps to the right */
    int missing;               /* not clicked, -1 nobody */
} forms[] = {
    {"as it should be", 0, 0, 1, -1, 0, -1},
    {"one step back", 0, 1, 1, -1, 0, -1},
    {"one step back, and one 1.6 steps off", 0, 1, 1, 8, 1.6, -1},
    {"a little wide, and one off", 0.4, 0, 1.05, 3, -1.2, -1},
    {"one was not clicked", 0, 0.5, 1, 8, 1.0, 15},
    {"a step and a half to the side", 1.5, 0, 1, -1, 0, -1},
};

static void is_told_apart(void **state)
{
    const struct form *f = *state;
    struct field_place dots[ALL], feet[ALL];
    size_t of[ALL], n = 0;
    struct arena a = {0};
    struct form_fit fit;
    block(dots);
    const struct field_place middle = {dots[ALL - 1].x / 2, (dots[0].y + dots[ALL - 1].y) / 2};
    for (int k = 0; k < ALL; k++) {
        const int i = (k * 7 + 5) % ALL; /* in any order */
        if (i == f->missing)
            continue;
        of[n] = (size_t)i;
        feet[n++] = (struct field_place){
            middle.x + f->scale * (dots[i].x - middle.x) + f->right * step +
                (i == f->who ? f->by * step : 0) + 0.5 * normal(),
            middle.y + f->scale * (dots[i].y - middle.y) + f->back * step + 0.5 * normal()};
    }
    form_check(&a, &(struct form_ask){feet, dots, n, ALL, 2.2 * step}, &fit);
    assert_int_equal(fit.pairs, n);
    if (fabs(fit.shift.x - f->right * step) > 1 || fabs(fit.shift.y - f->back * step) > 1 ||
        fabs(fit.scale - f->scale) > 0.01)
        fail_msg("shift %.2f %.2f, scale %.4f", fit.shift.x, fit.shift.y, fit.scale);
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(fit.dot[i], of[i]);
        const double own = (int)of[i] == f->who ? f->by * step : 0;
        assert_true(fabs(fit.off[i].x - own) < 3 && fabs(fit.off[i].y) < 3);
    }
    arena_free(&a);
}

static void a_stray_click_is_nobodys(void **state)
{
    (void)state;
    struct field_place dots[ALL], feet[ALL + 1];
    struct arena a = {0};
    struct form_fit fit;
    block(dots);
    memcpy(feet, dots, sizeof dots);
    feet[ALL] = (struct field_place){2000, 2000};
    form_check(&a, &(struct form_ask){feet, dots, ALL + 1, ALL, 2 * step}, &fit);
    assert_int_equal(fit.dot[ALL], -1);
    assert_int_equal(fit.pairs, ALL);
    form_check(&a, &(struct form_ask){feet, dots, 0, ALL, step}, &fit);
    assert_int_equal(fit.pairs, 0);
    form_check(&a, &(struct form_ask){feet, dots, 2, 0, step}, &fit);
    assert_int_equal(fit.pairs, 0);
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, forms, is_told_apart);
    case_test(&all, a_stray_click_is_nobodys);
    return cases_run(&all, "a whole form");
}
