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

/* Places in a rank that was closed and is late at one end, steps (as the drawn band has them): one was
 * squeezed, one is under way, and not everybody was clicked. Everybody one place on would fit nearly as
 * well; that many are off by a little is less likely than that two are. */
static void a_rank_of_which_some_were_clicked_is_not_taken_for_one_that_moved_up(void **state)
{
    static const struct field_place at[] = {{-17.973, 36.144}, {-20.048, 35.973}, {-13.129, 35.986},
                                            {-15.960, 35.977}, {-10.513, 35.969}, {-11.984, 35.998},
                                            {-6.398, 35.039},  {-5.933, 36.061},  {-1.951, 36.019},
                                            {-3.952, 35.921}};
    static const double across[] = {-18, -20, -14, -16, -10, -12, -8, -6, -2, -4};
    enum { RANK = 10, NEXT = 7 /* whose dot the late one stands at: is he there, it is told */ };
    (void)state;
    for (int out = 0; out < RANK * RANK; out++) {
        const size_t gone[] = {(size_t)(out / RANK), (size_t)(out % RANK)};
        if (gone[0] == NEXT || gone[1] == NEXT)
            continue;
        struct field_place dots[RANK], feet[RANK];
        size_t of[RANK], n = 0;
        struct arena a = {0};
        struct form_fit fit;
        for (size_t i = 0; i < RANK; i++) {
            dots[i] = (struct field_place){across[i] * step, 36 * step};
            of[n] = i;
            feet[n] = (struct field_place){at[i].x * step, at[i].y * step};
            n += i != gone[0] && i != gone[1];
        }
        form_check(&a, &(struct form_ask){feet, dots, n, RANK, 4 * step}, &fit);
        for (size_t i = 0; i < n; i++)
            if (fit.dot[i] != (int)of[i])
                fail_msg("without %zu and %zu: %zu was taken for %d (shift %.1f steps)", gone[0],
                         gone[1], of[i], fit.dot[i], fit.shift.x / step);
        arena_free(&a);
    }
}

/* An arm whose ends are where they should be and whose middle bows out has not moved. */
static void an_arm_that_bows_has_not_moved(void **state)
{
    (void)state;
    static const double back[] = {0.1, 1.3, 1.7, 1.8, 0.0, 1.1};
    enum { ARM = 6 };
    struct field_place dots[ARM], feet[ARM];
    struct arena a = {0};
    struct form_fit fit;
    for (int i = 0; i < ARM; i++) {
        dots[i] = (struct field_place){i * 3 * step, 700 - i * step};
        feet[i] = (struct field_place){dots[i].x, dots[i].y + back[i] * step};
    }
    form_check(&a, &(struct form_ask){feet, dots, ARM, ARM, 4 * step}, &fit);
    assert_int_equal(fit.pairs, ARM);
    assert_true(fit.shift.x == 0 && fit.shift.y == 0 && fit.scale == 1);
    for (int i = 0; i < ARM; i++)
        assert_true(fit.dot[i] == i && fabs(fit.off[i].y - back[i] * step) < 1e-9);
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, forms, is_told_apart);
    case_test(&all, a_rank_of_which_some_were_clicked_is_not_taken_for_one_that_moved_up);
    case_test(&all, a_stray_click_is_nobodys);
    case_test(&all, an_arm_that_bows_has_not_moved);
    return cases_run(&all, "a whole form");
}
