/* What is drawn over the picture: on the right pixels of the pane and nowhere else, as shapes of the
 * window that nothing in a label can break, and a click means what is drawn under it. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/measuring.h"
#include "lib/cases.h"
#include "screen/over.h"

enum { W = 64, H = 48 };

static struct buf memory;

/* A picture of one grey. */
static struct pane_image grey(int width, int height)
{
    const size_t n = (size_t)width * (size_t)height;
    uint8_t *px = malloc(4 * n);
    for (size_t i = 0; i < n; i++)
        memcpy(px + 4 * i, (uint8_t[]){60, 60, 60, 255}, 4);
    return (struct pane_image){px, width, height, 4 * (size_t)width};
}

static void done_with(const struct pane_image *im)
{
    free((void *)(uintptr_t)im->rgba);
}

static const uint8_t *pixel(const struct pane_image *im, int x, int y)
{
    return im->rgba + (size_t)y * im->stride + 4 * (size_t)x;
}

static bool drawn(const struct pane_image *im, int x, int y)
{
    return memcmp(pixel(im, x, y), (uint8_t[]){60, 60, 60, 255}, 4) != 0;
}

static size_t drawn_in(const struct pane_image *im, int x0, int y0, int x1, int y1)
{
    size_t n = 0;
    for (int y = y0; y < y1; y++)
        for (int x = x0; x < x1; x++)
            n += drawn(im, x, y);
    return n;
}

static struct pane_image paint(const struct over *o, const struct over_frame *at,
                               const struct pane_image *f, int width, int height)
{
    return over_paint(o, at, f, &(struct over_room){width, height, &memory});
}

static const struct over_frame whole = {0, 0, 1, 1};

static void lines_and_dots_are_on_their_pixels(void **state)
{
    (void)state;
    struct over_line lines[] = {{OVER_STRONG, 0, 10.5 / H, 1, 10.5 / H},
                                {OVER_STRONG, 20.5 / W, 0.5, 20.5 / W, 1}};
    struct over_dot dots[] = {{OVER_CLICK, 50.5 / W, 30.5 / H, ""}};
    const struct over o = {lines, dots, 2, 1, 2, 1, .x = 0.5, .y = 0.5, .times = 1};
    const struct pane_image f = grey(W, H), im = paint(&o, &whole, &f, W, H);
    assert_int_equal(im.width, W);
    assert_int_equal(im.height, H);
    for (int x = 0; x < W; x++) {
        assert_true(drawn(&im, x, 10));
        assert_false(drawn(&im, x, 8) || drawn(&im, x, 12));
    }
    for (int y = H / 2 + 1; y < H; y++)
        assert_true(drawn(&im, 20, y));
    assert_false(drawn(&im, 20, 20));
    assert_true(drawn(&im, 50, 30));
    assert_int_equal(drawn_in(&im, 54, 0, W, 10) + drawn_in(&im, 54, 13, W, H), 0);
    /* blue is what a line's ink has most of; alpha stays */
    assert_true(pixel(&im, 5, 10)[2] > 200 && pixel(&im, 5, 10)[3] == 255);
    assert_int_equal(drawn_in(&f, 0, 0, W, H), 0); /* drawn into a copy */
    done_with(&f);
}

static void a_line_between_two_pixels_is_shared_by_them(void **state)
{
    (void)state;
    struct over_line lines[] = {{OVER_STRONG, 0, 11.0 / H, 1, 11.0 / H}};
    const struct over o = {.lines = lines, .n_lines = 1, .x = 0.5, .y = 0.5, .times = 1};
    const struct pane_image f = grey(W, H), im = paint(&o, &whole, &f, W, H);
    assert_memory_equal(pixel(&im, 30, 10), pixel(&im, 30, 11), 4);
    assert_true(drawn(&im, 30, 10));
    done_with(&f);
}

/* Its letters, where a picture has room for them: they stand to the right of the dot, above it. */
static void a_label_is_written_where_it_can_be_read(void **state)
{
    (void)state;
    static const int widths[] = {W, 480, 1280};
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++) {
        const int w = widths[i], h = w * H / W;
        size_t n[4], beside[4];
        static const char *const labels[] = {"", "T1", "T12", "\xc3\xa9\n{"};
        for (size_t k = 0; k < 4; k++) {
            struct over_dot dots[] = {{OVER_GHOST, 0.5, 0.5, labels[k]}};
            const struct over o = {.dots = dots, .n_dots = 1, .x = 0.5, .y = 0.5, .times = 1};
            const struct pane_image f = grey(w, h), im = paint(&o, &whole, &f, w, h);
            n[k] = drawn_in(&im, 0, 0, w, h);
            beside[k] = drawn_in(&im, w / 2, 0, w, h / 2 + 1);
            assert_int_equal(n[k] - n[0], beside[k] - beside[0]);
            done_with(&f);
        }
        assert_int_equal(n[0], n[3]); /* no letters that it knows */
        assert_true(w < 100 ? n[2] == n[0] : n[2] > n[1] && n[1] > n[0]);
    }
}

/* A picture that is wider or higher than the pane lies between two bars. */
static const struct bars {
    const char *name;
    int width, height; /* of the clip */
} bars[] = {{"bars above and below", 320, 90}, {"bars beside", 90, 320}, {"no bars", W, H}};

static void nothing_is_drawn_beside_the_picture(void **state)
{
    const struct bars *b = *state;
    const struct over_frame at = over_fitted(b->width, b->height, W, H);
    struct over_line lines[] = {{OVER_STRONG, -0.4, -0.4, 1.4, 1.4},
                                {OVER_LINE, -0.4, 1.4, 1.4, -0.4},
                                {OVER_CROSS, -0.4, 0, 1.4, 0},
                                {OVER_CROSS, 1, -0.4, 1, 1.4}};
    struct over_dot dots[] = {
        {OVER_GHOST, 0, 0, ""}, {OVER_CLICK, 1, 1, ""}, {OVER_PICK, -3, 9, ""}};
    const struct over o = {lines, dots, 4, 3, 4, 3, .x = 0.5, .y = 0.5, .times = 1};
    const struct pane_image f = grey(W, H), im = paint(&o, &at, &f, W, H);
    const int left = (int)floor(at.x * W), top = (int)floor(at.y * H),
              right = (int)ceil((at.x + at.w) * W), bottom = (int)ceil((at.y + at.h) * H);
    assert_true(drawn_in(&im, left, top, right, bottom) > 20);
    assert_int_equal(drawn_in(&im, 0, 0, W, H), drawn_in(&im, left, top, right, bottom));
    done_with(&f);
}

static void what_cannot_be_drawn_is_left_out(void **state)
{
    (void)state;
    struct over_line lines[] = {{OVER_STRONG, NAN, 0, 1, 1},
                                {OVER_STRONG, 0, 0, INFINITY, 1},
                                {OVER_STRONG, -1e12, -1e12, 1e12, 1e12}};
    struct over_dot dots[] = {{OVER_CLICK, NAN, 0.5, ""}, {OVER_CLICK, 1e15, -1e15, "T1"}};
    const struct over o = {lines, dots, 3, 2, 3, 2, .x = 0.5, .y = 0.5, .times = 1};
    const struct pane_image f = grey(W, H), im = paint(&o, &whole, &f, W, H);
    struct buf ass = {0};
    assert_int_equal(drawn_in(&im, 0, 0, W, H), 0);
    over_shapes(&o, &whole, &ass);
    assert_null(strstr(buf_text(&ass), "nan"));
    assert_null(strstr(buf_text(&ass), "inf"));
    assert_null(strstr(buf_text(&ass), "T1"));
    buf_free(&ass);
    done_with(&f);
}

/* --- looked at closely --------------------------------------------------------------------------- */

static uint32_t chance_state = 20260914;
static double chance(void)
{
    chance_state = chance_state * 1664525u + 1013904223u;
    return (chance_state >> 8) / (double)(1 << 24);
}

/* A click at the middle of where the crosshair is drawn means the crosshair, and a click on a dot that
 * is drawn means that dot, whatever part of the picture is shown how large. */
static void a_click_means_what_is_drawn_under_it(void **state)
{
    (void)state;
    enum { TRIES = 300 };
    for (int i = 0; i < TRIES; i++) {
        struct measuring *m = calloc(1, sizeof *m);
        m->clip_width = 200 + (int)(chance() * 2000);
        m->clip_height = 200 + (int)(chance() * 2000);
        m->cross = (struct pixel){chance() * m->clip_width, chance() * m->clip_height};
        const int times = 1 << (int)(chance() * 4);
        const struct over_frame at = over_fitted(m->clip_width, m->clip_height, W, H);
        const double x = m->cross.x / m->clip_width, y = m->cross.y / m->clip_height;
        struct over_dot dots[] = {{OVER_CLICK, x, y, ""}};
        const struct over o = {.dots = dots, .n_dots = 1, .x = x, .y = y, .times = times};
        const struct pane_image f = grey(W * times, H * times), im = paint(&o, &at, &f, W, H);
        double sx = 0, sy = 0, n = 0;
        for (int py = 0; py < H; py++)
            for (int px = 0; px < W; px++)
                if (drawn(&im, px, py)) {
                    sx += px + 0.5;
                    sy += py + 0.5;
                    n++;
                }
        assert_true(n > 0);
        const struct pane_spot spot = over_place(m, &at, times, sx / n / W, sy / n / H);
        /* half of a dot that a border cuts, and a pixel for where the part begins */
        const double off_x = fabs(spot.x - x) * at.w * W * times,
                     off_y = fabs(spot.y - y) * at.h * H * times;
        if (off_x > 2.2 || off_y > 2.2)
            fail_msg("%d times, crosshair at %g,%g: a click on it means %g,%g", times, x, y, spot.x,
                     spot.y);
        done_with(&f);
        free(m);
    }
}

static void the_part_that_is_shown_is_cut_around_the_crosshair(void **state)
{
    (void)state;
    enum { TIMES = 4 };
    struct pane_image f = grey(W * TIMES, H * TIMES);
    uint8_t *px = (uint8_t *)(uintptr_t)f.rgba;
    /* a red spot at three quarters of the picture's width and a quarter of its height */
    const size_t spot =
        4 * ((size_t)(H * TIMES / 4) * (size_t)f.width + (size_t)(W * TIMES * 3 / 4));
    memcpy(px + spot, (uint8_t[]){255, 0, 0, 255}, 4);
    const struct over o = {.x = 0.75, .y = 0.25, .times = TIMES};
    const struct pane_image im = paint(&o, &whole, &f, W, H);
    assert_memory_equal(pixel(&im, W / 2, H / 2), ((uint8_t[]){255, 0, 0, 255}), 4);
    assert_int_equal(drawn_in(&im, 0, 0, W, H), 1);
    /* in a corner the part ends with the picture */
    const struct over corner = {.x = 1, .y = 1, .times = TIMES};
    memcpy(px + 4 * ((size_t)f.width * (size_t)f.height - 1), (uint8_t[]){0, 255, 0, 255}, 4);
    const struct pane_image end = paint(&corner, &whole, &f, W, H);
    assert_memory_equal(pixel(&end, W - 1, H - 1), ((uint8_t[]){0, 255, 0, 255}), 4);
    done_with(&f);
}

/* --- the window's shapes --------------------------------------------------------------------------- */

/* Each event: braces with overrides at its beginning, then a drawing or plain text. */
static void check_event(const char *event, size_t n)
{
    char *line = strndup(event, n), *end = strchr(line, '}');
    assert_int_equal(line[0], '{');
    assert_non_null(end);
    assert_null(strpbrk(end + 1, "{}\\"));
    if (strstr(line, "\\p1")) {
        assert_int_equal(strspn(end + 1, "ml0123456789.- "), strlen(end + 1));
        assert_memory_equal(end + 1, "m ", 2);
    }
    free(line);
}

static size_t check_events(const char *ass)
{
    size_t n = 0;
    for (const char *p = ass; *p; n++) {
        const size_t length = strcspn(p, "\n");
        check_event(p, length);
        p += length + (p[length] == '\n');
    }
    return n;
}

static void shapes_are_events_that_no_label_breaks(void **state)
{
    (void)state;
    struct over_line lines[] = {{OVER_LINE, 0, 0, 1, 1}, {OVER_SHAPE, 0.1, 0.2, 0.3, 0.4}};
    struct over_dot dots[] = {{OVER_GHOST, 0.5, 0.5, "T1"},
                              {OVER_GHOST, 0.25, 0.5, "{\\p1}\\N\n{b\r\t"},
                              {OVER_GHOST, 0.75, 0.5, "\\"},
                              {OVER_CLICK, 0.5, 0.75, ""}};
    const struct over o = {lines, dots, 2, 4, 2, 4, .x = 0.5, .y = 0.5, .times = 1};
    struct buf ass = {0};
    over_shapes(&o, &whole, &ass);
    assert_int_equal(check_events(buf_text(&ass)), 4 + 3); /* kinds, then labels */
    assert_non_null(strstr(buf_text(&ass), "}T1\n"));
    assert_non_null(strstr(buf_text(&ass), "}p1Nb"));
    buf_free(&ass);
}

static void shapes_stand_where_the_picture_is_in_the_window(void **state)
{
    (void)state;
    /* the window's space is 1280 x 720; the picture fills its right half */
    const struct over_frame right = {0.5, 0, 0.5, 1};
    struct over_line lines[] = {{OVER_CROSS, 0, 0.5, 1, 0.5}};
    struct over_dot dots[] = {{OVER_GHOST, 0.5, 0.5, "T1"}};
    const struct over o = {lines, dots, 1, 1, 1, 1, .x = 0.5, .y = 0.5, .times = 1};
    struct buf ass = {0};
    double x[4], y[4];
    over_shapes(&o, &right, &ass);
    const char *line = strstr(buf_text(&ass), "FFFFFF&\\p1}m ");
    assert_non_null(line);
    assert_int_equal(sscanf(strstr(line, "m "), "m %lf %lf l %lf %lf %lf %lf %lf %lf", &x[0], &y[0],
                            &x[1], &y[1], &x[2], &y[2], &x[3], &y[3]),
                     8);
    assert_true(fabs(x[0] - 640) < 0.1 && fabs(x[1] - 1280) < 0.1 && fabs(x[2] - 1280) < 0.1);
    assert_true(fabs((y[0] + y[3]) / 2 - 360) < 0.1 && fabs(y[0] - y[3]) > 0.5);
    double lx, ly;
    assert_int_equal(sscanf(strstr(buf_text(&ass), "\\pos(9"), "\\pos(%lf,%lf)", &lx, &ly), 2);
    assert_true(lx > 960 && lx < 970 && ly > 340 && ly < 360); /* beside the dot at 960,360 */
    buf_free(&ass);
}

static void no_shapes_are_no_text(void **state)
{
    (void)state;
    struct buf ass = {0};
    over_shapes(&(struct over){.times = 1}, &whole, &ass);
    assert_int_equal(ass.n, 0);
    buf_free(&ass);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, lines_and_dots_are_on_their_pixels);
    case_test(&all, a_line_between_two_pixels_is_shared_by_them);
    case_test(&all, a_label_is_written_where_it_can_be_read);
    cases_of(&all, bars, nothing_is_drawn_beside_the_picture);
    case_test(&all, what_cannot_be_drawn_is_left_out);
    case_test(&all, a_click_means_what_is_drawn_under_it);
    case_test(&all, the_part_that_is_shown_is_cut_around_the_crosshair);
    case_test(&all, shapes_are_events_that_no_label_breaks);
    case_test(&all, shapes_stand_where_the_picture_is_in_the_window);
    case_test(&all, no_shapes_are_no_text);
    const int failed = cases_run(&all, "what is drawn over the picture");
    buf_free(&memory);
    return failed;
}
