/* Every injected fault shows in the picture, and only where it should. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "demo/figure.h"
#include "demo/ground.h"
#include "lib/files.h"

enum { WIDTH = 1280, HEIGHT = 720 };

static const char *band;
static struct drill drill;
static struct tempo tempo;
static struct view view;
static struct canvas canvas;

static int open_stage(void **state)
{
    (void)state;
    struct err e = {0};
    if (!drill_read(test_arena(), band, &drill, &e))
        fail_msg("%s", e.text);
    tempo = tempo_make(test_arena(), &drill, 1.5);
    view = view_plain(WIDTH, HEIGHT, WIDTH, (struct vec){6, -105, 60}, (struct vec){0, 54, 0});
    return canvas_open(test_arena(), &canvas, ground_draw(&view, &(struct paint){0}), WIDTH, HEIGHT)
               ? 0
               : -1;
}

static int close_stage(void **state)
{
    (void)state;
    canvas_close(&canvas);
    return 0;
}

/* Draws everybody, far ones first, and hands out a copy of the luma. */
static uint8_t *picture(const struct company *co, double at_s, uint8_t *out)
{
    size_t order[256];
    for (size_t p = 0; p < drill.n_performers; p++) {
        size_t i = p;
        const double y = company_steps(co, p, at_s).y;
        for (; i > 0 && company_steps(co, order[i - 1], at_s).y < y; i--)
            order[i] = order[i - 1];
        order[i] = p;
    }
    canvas_clear(&canvas);
    for (size_t i = 0; i < drill.n_performers; i++) {
        const struct stance s = company_stance(co, order[i], at_s);
        const int section = drill.performers[order[i]].section;
        figure_draw(&canvas, &view, look_of(drill.sections[section].name), &s, 0.5);
    }
    canvas_finish(&canvas);
    memcpy(out, canvas.planes.y, WIDTH * HEIGHT);
    return out;
}

/* Is the pixel within reach of where one of the slip's performers stands, faulty or not? */
static bool near_them(const struct slip *s, const struct company *const co[2], double at_s, int u,
                      int v)
{
    for (size_t i = 0; i < 2 * s->n_who; i++) {
        const struct stance st = company_stance(co[i % 2], (size_t)s->who[i / 2], at_s);
        const struct sight p = view_sees(&view, st.body);
        if (fabs(u - p.u) < 8 * p.scale && v - p.v < 5 * p.scale && p.v - v < 11 * p.scale)
            return true;
    }
    return false;
}

struct difference {
    int seen, astray;
};

static struct difference compare(const struct slip *s, const struct company *const co[2],
                                 double at_s)
{
    static uint8_t right[WIDTH * HEIGHT], wrong[WIDTH * HEIGHT];
    struct difference d = {0};
    picture(co[0], at_s, right);
    picture(co[1], at_s, wrong);
    for (int i = 0; i < WIDTH * HEIGHT; i++) {
        if (abs(right[i] - wrong[i]) < 24)
            continue;
        if (near_them(s, co, at_s, i % WIDTH, i / WIDTH))
            d.seen++;
        else
            d.astray++;
    }
    return d;
}

static void every_fault_can_be_seen_where_it_is(void **state)
{
    (void)state;
    const struct drill all = drill;
    drill.n_slips = 0;
    const struct company *const right = company_make(test_arena(), &drill, &tempo, 1);
    for (size_t i = 0; i < all.n_slips; i++) {
        const struct slip *s = &all.slips[i];
        struct drill one = all;
        one.slips = &all.slips[i];
        one.n_slips = 1;
        const struct company *const co[2] = {right, company_make(test_arena(), &one, &tempo, 1)};
        const double from = tempo_at(&tempo, s->set, s->c), to = tempo_at(&tempo, s->set, s->until);
        int most = 0;
        for (int k = 1; k <= 2; k++) {
            const struct difference d = compare(s, co, from + (to - from) * k * 0.33);
            most = d.seen > most ? d.seen : most;
            assert_int_equal(d.astray, 0);
        }
        if (most < 20)
            fail_msg("row %zu, %s in set %s: %d pixels differ", i + 1, s->fault,
                     all.sets[s->set].label, most);
    }
    drill = all;
}

static void feet_are_together_at_a_halt_and_apart_in_motion(void **state)
{
    (void)state;
    const struct drill all = drill;
    drill.n_slips = 0;
    const struct company *const co = company_make(test_arena(), &drill, &tempo, 1);
    drill = all;
    for (size_t p = 0; p < drill.n_performers; p++) {
        const struct stance halt = company_stance(co, p, tempo_at(&tempo, 3, 4)); /* set 4 stands */
        assert_true(hypot(halt.left.x - halt.right.x, halt.left.y - halt.right.y) < 0.6);
        assert_true(halt.left.z == 0 && halt.right.z == 0);
        const struct point a = *drill_dot(&drill, p, 1), b = *drill_dot(&drill, p, 2);
        if (hypot(a.x - b.x, a.y - b.y) < 8)
            continue;
        /* As count 5 begins the left foot comes down in front, half a count on the right is up. */
        const struct stance down = company_stance(co, p, tempo_at(&tempo, 2, 4));
        const struct stance up = company_stance(co, p, tempo_at(&tempo, 2, 4.5));
        const double ahead = (down.left.x - down.body.x) * (b.x - a.x) * FEET_PER_STEP +
                             (down.left.y - down.body.y) * (b.y - a.y) * FEET_PER_DEPTH_STEP;
        assert_true(ahead > 0);
        assert_true(up.right.z > 0.3 && up.left.z == 0);
    }
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_fault_can_be_seen_where_it_is),
        cmocka_unit_test(feet_are_together_at_a_halt_and_apart_in_motion),
    };
    if (argc != 2)
        return 2;
    band = argv[1];
    return cmocka_run_group_tests(tests, open_stage, close_stage);
}
