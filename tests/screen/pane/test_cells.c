/* What the pane writes is replayed into libvterm, an emulator that is not ours. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "screen/pane/sink.h"

enum { ROWS = 12, COLS = 40, AT_ROW = 2, AT_COL = 5, TALL = 6, WIDE = 20 };

struct bench {
    struct sink sink;
    struct pane *pane;
    uint8_t px[TALL * 2 * WIDE * 4];
};

static struct term_caps caps_of(enum term_colors colors, bool utf8)
{
    return (struct term_caps){.dsr = true,
                              .utf8 = utf8,
                              .colors = colors,
                              .still = TERM_PANE_CELLS,
                              .moving = TERM_PANE_CELLS};
}

static void begin(struct bench *b, struct term_caps caps)
{
    struct err e = {0};
    sink_open(&b->sink, ROWS, COLS);
    assert_true(pane_open(&b->pane, b->sink.write_fd, &caps, &e));
    pane_place(b->pane, AT_ROW, AT_COL, TALL, WIDE);
}

static void end(struct bench *b)
{
    pane_close(b->pane);
    sink_close(&b->sink);
}

static void noise(struct bench *b, unsigned *seed, int range)
{
    for (size_t i = 0; i < sizeof b->px; i++)
        b->px[i] = i % 4 == 3 ? 255 : (uint8_t)(rand_r(seed) % range);
}

static void show(struct bench *b, enum pane_pace pace)
{
    assert_true(pane_picture(b->pane, b->px, WIDE, 2 * TALL, WIDE * 4, pace));
    sink_settle(&b->sink, b->pane);
}

static int apart(uint32_t a, uint32_t b)
{
    int worst = 0;
    for (int shift = 0; shift < 24; shift += 8) {
        const int d = abs((int)(a >> shift & 255) - (int)(b >> shift & 255));
        worst = d > worst ? d : worst;
    }
    return worst;
}

static uint32_t pixel(const struct bench *b, int x, int y)
{
    const uint8_t *p = b->px + (y * WIDE + x) * 4;
    return (uint32_t)p[0] << 16 | (uint32_t)p[1] << 8 | p[2];
}

static int worst_cell(struct bench *b)
{
    int worst = 0;
    for (int y = 0; y < TALL; y++)
        for (int x = 0; x < WIDE; x++) {
            uint32_t top, bottom;
            sink_halves(&b->sink, AT_ROW + y, AT_COL + x, &top, &bottom);
            const int t = apart(top, pixel(b, x, 2 * y)), l = apart(bottom, pixel(b, x, 2 * y + 1));
            worst = t > worst ? t : worst;
            worst = l > worst ? l : worst;
        }
    return worst;
}

static void a_still_has_the_exact_colours(void **state)
{
    (void)state;
    struct bench b;
    unsigned seed = 1;
    begin(&b, caps_of(TERM_TRUECOLOR, true));
    noise(&b, &seed, 256);
    show(&b, PANE_STILL);
    assert_int_equal(worst_cell(&b), 0);
    end(&b);
}

static void a_moving_picture_is_within_six_steps_and_settles_exactly(void **state)
{
    (void)state;
    struct bench b;
    unsigned seed = 2;
    begin(&b, caps_of(TERM_TRUECOLOR, true));
    for (int i = 0; i < 50; i++) {
        noise(&b, &seed, i % 2 ? 12 : 256);
        show(&b, PANE_MOVING);
        assert_in_range(worst_cell(&b), 0, 6);
    }
    show(&b, PANE_STILL);
    assert_int_equal(worst_cell(&b), 0);
    end(&b);
}

static void only_the_hole_is_touched_and_the_cursor_and_pen_come_back(void **state)
{
    (void)state;
    struct bench b;
    unsigned seed = 3;
    begin(&b, caps_of(TERM_TRUECOLOR, true));
    for (int y = 1; y <= ROWS; y++)
        for (int x = 1; x <= COLS; x++) {
            char at[32];
            snprintf(at, sizeof at, "\033[%d;%dHx", y, x);
            sink_text(&b.sink, at);
        }
    sink_text(&b.sink, "\033[3;4H\033[1;31m");
    for (int i = 0; i < 10; i++) {
        noise(&b, &seed, 256);
        show(&b, i % 2 ? PANE_STILL : PANE_MOVING);
    }
    VTermPos cursor;
    vterm_state_get_cursorpos(vterm_obtain_state(b.sink.vt), &cursor);
    assert_int_equal(cursor.row, 2);
    assert_int_equal(cursor.col, 3);
    for (int y = 0; y < ROWS; y++)
        for (int x = 0; x < COLS; x++) {
            const bool in = y >= AT_ROW && y < AT_ROW + TALL && x >= AT_COL && x < AT_COL + WIDE;
            if (!in)
                assert_int_equal(sink_cell(&b.sink, y, x).chars[0], 'x');
        }
    sink_text(&b.sink, "y");
    const VTermScreenCell y = sink_cell(&b.sink, 2, 3);
    assert_true(y.attrs.bold);
    assert_true(VTERM_COLOR_IS_INDEXED(&y.fg) && y.fg.indexed.idx == 1);
    end(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_still_has_the_exact_colours),
        cmocka_unit_test(a_moving_picture_is_within_six_steps_and_settles_exactly),
        cmocka_unit_test(only_the_hole_is_touched_and_the_cursor_and_pen_come_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
