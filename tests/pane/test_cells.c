/* The cell writer. What it writes is replayed into libvterm, an emulator that is not ours. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "pane/hole.h"

static void a_still_has_the_exact_colours(void **state)
{
    (void)state;
    struct hole h;
    unsigned seed = 1;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    hole_noise(&h, &seed, 256);
    hole_show(&h, PANE_STILL);
    assert_int_equal(hole_worst(&h), 0);
    hole_close(&h);
}

static void a_moving_picture_is_within_six_steps_and_settles_exactly(void **state)
{
    (void)state;
    struct hole h;
    unsigned seed = 2;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    for (int i = 0; i < 50; i++) {
        hole_noise(&h, &seed, i % 2 ? 12 : 256);
        hole_show(&h, PANE_MOVING);
        assert_in_range(hole_worst(&h), 0, 6);
    }
    hole_show(&h, PANE_STILL);
    assert_int_equal(hole_worst(&h), 0);
    hole_close(&h);
}

static void a_change_of_less_than_seven_steps_is_not_written_in_motion(void **state)
{
    (void)state;
    struct hole h;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    hole_fill(&h, 0x406080);
    hole_show(&h, PANE_MOVING);
    const size_t before = h.sink.raw.n;
    hole_fill(&h, 0x466686);
    hole_show(&h, PANE_MOVING);
    assert_int_equal(h.sink.raw.n, before);
    hole_fill(&h, 0x476686);
    hole_show(&h, PANE_MOVING);
    assert_true(h.sink.raw.n > before);
    assert_in_range(hole_worst(&h), 0, 6);
    hole_close(&h);
}

static void an_area_of_one_colour_takes_about_a_byte_a_cell(void **state)
{
    (void)state;
    struct hole h;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    hole_fill(&h, 0x204060);
    hole_show(&h, PANE_STILL);
    assert_int_equal(hole_worst(&h), 0);
    assert_in_range(h.sink.raw.n, TALL * WIDE, TALL * WIDE + TALL * 10 + 40);
    hole_close(&h);
}

static void assert_same_screen(struct sink *a, struct sink *b)
{
    for (int i = 0; i < ROWS * COLS; i++) {
        const int y = i / COLS, x = i % COLS;
        const bool in = y >= AT_ROW && y < AT_ROW + TALL && x >= AT_COL && x < AT_COL + WIDE;
        uint32_t at, ab, bt, bb;
        if (!in)
            continue;
        sink_halves(a, y, x, &at, &ab);
        sink_halves(b, y, x, &bt, &bb);
        assert_int_equal(at, bt);
        assert_int_equal(ab, bb);
    }
}

static void after_any_pictures_the_screen_is_as_after_a_full_repaint(void **state)
{
    (void)state;
    static const enum term_colors colors[] = {TERM_16, TERM_256, TERM_TRUECOLOR};
    for (size_t c = 0; c < 3; c++)
        for (int utf8 = 0; utf8 < 2; utf8++) {
            struct hole once, often;
            unsigned seed = 4;
            hole_open(&once, caps_of(colors[c], utf8));
            hole_open(&often, caps_of(colors[c], utf8));
            for (int i = 0; i < 20; i++) {
                hole_noise(&often, &seed, 1 + (int)(rand_r(&seed) % 256));
                hole_show(&often, rand_r(&seed) % 3 ? PANE_MOVING : PANE_STILL);
            }
            hole_show(&often, PANE_STILL);
            memcpy(once.px, often.px, sizeof once.px);
            hole_show(&once, PANE_STILL);
            assert_same_screen(&often.sink, &once.sink);
            hole_close(&once);
            hole_close(&often);
        }
}

static void fill_screen_with_x(struct sink *s)
{
    for (int y = 1; y <= ROWS; y++)
        for (int x = 1; x <= COLS; x++) {
            char at[32];
            snprintf(at, sizeof at, "\033[%d;%dHx", y, x);
            sink_text(s, at);
        }
}

static void assert_x_around(struct sink *s)
{
    for (int y = 0; y < ROWS; y++)
        for (int x = 0; x < COLS; x++) {
            const bool in = y >= AT_ROW && y < AT_ROW + TALL && x >= AT_COL && x < AT_COL + WIDE;
            if (!in)
                assert_int_equal(sink_cell(s, y, x).chars[0], 'x');
        }
}

static void only_the_hole_is_touched_and_the_cursor_and_pen_come_back(void **state)
{
    (void)state;
    struct hole h;
    unsigned seed = 3;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    fill_screen_with_x(&h.sink);
    sink_text(&h.sink, "\033[3;4H\033[1;31m");
    for (int i = 0; i < 10; i++) {
        hole_noise(&h, &seed, 256);
        hole_show(&h, i % 2 ? PANE_STILL : PANE_MOVING);
    }
    pane_hide(h.pane);
    sink_settle(&h.sink, h.pane);
    VTermPos cursor;
    vterm_state_get_cursorpos(vterm_obtain_state(h.sink.vt), &cursor);
    assert_int_equal(cursor.row, 2);
    assert_int_equal(cursor.col, 3);
    assert_x_around(&h.sink);
    sink_text(&h.sink, "y");
    const VTermScreenCell y = sink_cell(&h.sink, 2, 3);
    assert_true(y.attrs.bold);
    assert_true(VTERM_COLOR_IS_INDEXED(&y.fg) && y.fg.indexed.idx == 1);
    hole_close(&h);
}

/* Colours of the 6x6x6 cube and the grey ramp, by 256colres.h of xterm. */
static void colours_of_the_palette_are_shown_as_themselves_in_256_colours(void **state)
{
    (void)state;
    static const uint32_t known[] = {0x000000, 0xffffff, 0x5f87af, 0xffaf00,
                                     0x875f00, 0x00d7ff, 0x080808, 0x767676};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        struct hole h;
        hole_open(&h, caps_of(TERM_256, true));
        hole_fill(&h, known[i]);
        hole_show(&h, PANE_STILL);
        assert_int_equal(hole_worst(&h), 0);
        assert_null(strstr(h.sink.raw.p, "8;2;"));
        hole_close(&h);
    }
}

static void sixteen_colours_are_set_by_single_parameters(void **state)
{
    (void)state;
    struct hole h;
    unsigned seed = 6;
    hole_open(&h, caps_of(TERM_16, true));
    hole_noise(&h, &seed, 256);
    hole_show(&h, PANE_STILL);
    assert_null(strstr(h.sink.raw.p, "38;"));
    assert_null(strstr(h.sink.raw.p, "48;"));
    hole_fill(&h, 0xffffff);
    hole_show(&h, PANE_STILL);
    assert_int_equal(hole_worst(&h), 0);
    hole_close(&h);
}

static void without_utf8_every_byte_is_ascii(void **state)
{
    (void)state;
    for (int c = TERM_NONE; c <= TERM_TRUECOLOR; c++) {
        struct hole h;
        unsigned seed = 7;
        hole_open(&h, caps_of((enum term_colors)c, false));
        hole_noise(&h, &seed, 256);
        hole_show(&h, PANE_MOVING);
        assert_true(h.sink.raw.n > TALL * WIDE);
        for (size_t i = 0; i < h.sink.raw.n; i++)
            assert_true((unsigned char)h.sink.raw.p[i] < 0x80);
        hole_close(&h);
    }
}

static uint32_t glyph_for(bool utf8, bool light, uint32_t grey)
{
    struct hole h;
    struct term_caps caps = caps_of(TERM_NONE, utf8);
    caps.light = light;
    hole_open(&h, caps);
    hole_fill(&h, grey * 0x010101u);
    hole_show(&h, PANE_STILL);
    const uint32_t glyph = sink_cell(&h.sink, AT_ROW + 1, AT_COL + 1).chars[0];
    for (const char *p = h.sink.raw.p; (p = strstr(p, "\033[")) != NULL; p++) {
        const size_t params = strspn(p + 2, "0123456789;?");
        assert_true(p[2 + params] != 'm' || params == 0);
    }
    hole_close(&h);
    return glyph;
}

static void without_colours_brighter_means_more_ink_on_dark_and_less_on_light(void **state)
{
    (void)state;
    assert_int_equal(glyph_for(true, false, 0), ' ');
    assert_int_equal(glyph_for(true, false, 255), 0x2588);
    assert_int_equal(glyph_for(true, true, 255), ' ');
    assert_int_equal(glyph_for(true, true, 0), 0x2588);
    assert_int_equal(glyph_for(false, false, 0), ' ');
    assert_int_equal(glyph_for(false, false, 255), '@');
}

static void after_the_screen_was_cleared_everything_is_written_again(void **state)
{
    (void)state;
    struct hole h;
    unsigned seed = 8;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    hole_noise(&h, &seed, 256);
    hole_show(&h, PANE_STILL);
    sink_text(&h.sink, "\033[2J");
    pane_forget(h.pane);
    sink_settle(&h.sink, h.pane);
    assert_int_equal(hole_worst(&h), 0);
    hole_close(&h);
}

static void hiding_blanks_the_hole(void **state)
{
    (void)state;
    struct hole h;
    unsigned seed = 9;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    hole_noise(&h, &seed, 256);
    hole_show(&h, PANE_STILL);
    pane_hide(h.pane);
    sink_settle(&h.sink, h.pane);
    const VTermScreenCell outside = sink_cell(&h.sink, 0, 0);
    for (int i = 0; i < TALL * WIDE; i++) {
        const VTermScreenCell c = sink_cell(&h.sink, AT_ROW + i / WIDE, AT_COL + i % WIDE);
        assert_int_equal(c.chars[0], 0);
        assert_memory_equal(&c.bg, &outside.bg, sizeof c.bg);
    }
    hole_show(&h, PANE_STILL);
    assert_int_equal(hole_worst(&h), 0);
    hole_close(&h);
}

static void a_picture_of_another_size_is_refused(void **state)
{
    (void)state;
    struct hole h;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    hole_fill(&h, 0);
    assert_false(pane_picture(h.pane, &(struct pane_image){h.px, WIDE - 1, 2 * TALL, WIDE * 4},
                              PANE_MOVING));
    pane_hole(h.pane, 0, 0, 0, 0);
    int w, ht;
    assert_false(pane_wanted(h.pane, PANE_MOVING, &w, &ht));
    assert_false(
        pane_picture(h.pane, &(struct pane_image){h.px, WIDE, 2 * TALL, WIDE * 4}, PANE_MOVING));
    hole_close(&h);
}

/* Cells of 6 x 13 pixels: a picture in square pixels is brought into the shape of the cells. */
static void narrow_cells_get_a_picture_in_their_own_shape(void **state)
{
    (void)state;
    struct hole h;
    struct term_caps caps = caps_of(TERM_TRUECOLOR, true);
    caps.cell_width = 6;
    caps.cell_height = 13;
    hole_open(&h, caps);
    int w, ht;
    assert_true(pane_wanted(h.pane, PANE_STILL, &w, &ht));
    assert_int_equal(w * TALL * 13 / (WIDE * 6), ht); /* the hole's own proportions */
    uint8_t *px = calloc((size_t)w * (size_t)ht, 4);
    for (int i = 0; i < w * ht; i++)
        px[4 * i + (i / w < ht / 2 ? 0 : 2)] = 200;
    assert_true(pane_picture(h.pane, &(struct pane_image){px, w, ht, (size_t)w * 4}, PANE_STILL));
    sink_settle(&h.sink, h.pane);
    uint32_t top, bottom;
    sink_halves(&h.sink, AT_ROW, AT_COL, &top, &bottom);
    assert_int_equal(top, 0xc80000);
    sink_halves(&h.sink, AT_ROW + TALL - 1, AT_COL + WIDE - 1, &top, &bottom);
    assert_int_equal(bottom, 0x0000c8);
    free(px);
    hole_close(&h);
}

static void a_click_is_found_in_the_fitted_picture(void **state)
{
    (void)state;
    struct hole h;
    struct pane_spot spot;
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    /* the hole is 20 x 12 pixels; a 2:1 clip is 20 x 10 in it, one pixel (half a cell) of bar */
    assert_true(pane_point(h.pane, (struct pane_click){AT_ROW + 3, AT_COL + 5}, 200, 100, &spot));
    assert_float_equal(spot.x, 0.25, 1e-6);
    assert_float_equal(spot.y, 0.5, 1e-6);
    assert_true(
        pane_point(h.pane, (struct pane_click){AT_ROW + 0.5, AT_COL + 20}, 200, 100, &spot));
    assert_float_equal(spot.x, 1, 1e-6);
    assert_float_equal(spot.y, 0, 1e-6);
    assert_false(
        pane_point(h.pane, (struct pane_click){AT_ROW + 0.4, AT_COL + 5}, 200, 100, &spot));
    assert_false(
        pane_point(h.pane, (struct pane_click){AT_ROW + 3, AT_COL - 0.1}, 200, 100, &spot));
    /* an upright one is 6 x 12, seven columns of bar on each side */
    assert_true(pane_point(h.pane, (struct pane_click){AT_ROW + 6, AT_COL + 10}, 100, 200, &spot));
    assert_float_equal(spot.x, 0.5, 1e-6);
    assert_float_equal(spot.y, 1, 1e-6);
    assert_false(
        pane_point(h.pane, (struct pane_click){AT_ROW + 3, AT_COL + 6.9}, 100, 200, &spot));
    hole_close(&h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_still_has_the_exact_colours),
        cmocka_unit_test(a_moving_picture_is_within_six_steps_and_settles_exactly),
        cmocka_unit_test(a_change_of_less_than_seven_steps_is_not_written_in_motion),
        cmocka_unit_test(an_area_of_one_colour_takes_about_a_byte_a_cell),
        cmocka_unit_test(after_any_pictures_the_screen_is_as_after_a_full_repaint),
        cmocka_unit_test(only_the_hole_is_touched_and_the_cursor_and_pen_come_back),
        cmocka_unit_test(colours_of_the_palette_are_shown_as_themselves_in_256_colours),
        cmocka_unit_test(sixteen_colours_are_set_by_single_parameters),
        cmocka_unit_test(without_utf8_every_byte_is_ascii),
        cmocka_unit_test(without_colours_brighter_means_more_ink_on_dark_and_less_on_light),
        cmocka_unit_test(after_the_screen_was_cleared_everything_is_written_again),
        cmocka_unit_test(hiding_blanks_the_hole),
        cmocka_unit_test(a_picture_of_another_size_is_refused),
        cmocka_unit_test(a_click_is_found_in_the_fitted_picture),
        cmocka_unit_test(narrow_cells_get_a_picture_in_their_own_shape),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
