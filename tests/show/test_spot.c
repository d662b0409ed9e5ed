/* Places on the ground in words, both ways, and the grounds by name and by numbers. Rule book
 * distances: 53 ft 4 in, 60 ft and 70 ft 9 in from a sideline to its hash on a field of 160 ft,
 * goal lines 300 ft apart (rule 1 of the three games). How staff write spots: common practice, no
 * source. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "show/grid.h"

static const char *const grounds[] = {"high-school", "college", "professional", "floor 90x60 ft",
                                      "floor 27.5x18 m"};
enum { GROUNDS = sizeof grounds / sizeof *grounds };

static struct grid ground(const char *name)
{
    struct grid g;
    struct err e;
    if (!grid_read(name, &g, &e))
        fail_msg("%s", e.text);
    return g;
}

static const struct said {
    const char *name, *ground;
    double x, y;
    const char *text;
} saids[] = {
    {"beside a line", "high-school", -26.5, 32, "side 1, 2.5 outside 35; 4 behind front hash"},
    {"inside a line", "high-school", 7, 12, "side 2, 1 inside 45; 12 behind front sideline"},
    {"on the 50 and a hash", "college", 0, 32, "on 50; on front hash"},
    {"on a line", "college", -24, 84, "side 1, on 35; on back sideline"},
    {"in quarters", "college", 19.25, 46, "side 2, 3.25 outside 40; 6 in front of back hash"},
    {"halfway: 4 outside the inner line", "high-school", -4, -2.5,
     "side 1, 4 outside 50; 2.5 in front of front sideline"},
    {"behind the goal", "high-school", 82, 86,
     "side 2, 2 outside goal line; 2 behind back sideline"},
    {"on the goal line", "high-school", -80, 0, "side 1, on goal line; on front sideline"},
    {"just inside it", "high-school", 79, 0, "side 2, 1 inside goal line; on front sideline"},
    {"no quarter, to a hundredth", "high-school", 1.013, 27.996,
     "side 2, 1.01 outside 50; on front hash"},
    {"a professional's hash", "professional", 8, 47, "side 2, on 45; 1 in front of back hash"},
    {"a floor", "floor 90x60 ft", -12, 6, "side 1, 12 off center; 6 behind front edge"},
    {"its middle, which is 16 steps from its edge", "floor 90x60 ft", 0, 16,
     "on center; on center"},
    {"from the edge that gives quarters", "floor 27.5x18 m", 2, 18 / 0.0254 / 22.5 - 15,
     "side 2, 2 off center; 15 in front of back edge"},
};

static void is_said_so(void **state)
{
    const struct said *s = *state;
    const struct grid g = ground(s->ground);
    char text[2 * SPOT_TEXT];
    spot_text(&g, s->x, s->y, text);
    assert_string_equal(text, s->text);
}

/* Every quarter step of every ground. */
static void quarter_steps_come_back_exactly(void **state)
{
    (void)state;
    for (int i = 0; i < GROUNDS; i++) {
        const struct grid g = ground(grounds[i]);
        const bool floor = g.surface == SURFACE_FLOOR;
        const double most = floor ? trunc(g.side_in / 22.5 * 4) / 4 : 96;
        const double from = floor ? 0 : -28, to = floor ? g.back_sideline : g.back_sideline + 28;
        for (double x = -most; x <= most; x += 0.25) {
            char text[2 * SPOT_TEXT];
            double y = from + fmod(fabs(x) * 7, (double)(int)(to - from)), got_x, got_y;
            struct err e;
            spot_text(&g, x, y, text);
            if (!spot_parse(&g, text, &got_x, &got_y, &e))
                fail_msg("%s", e.text);
            if (got_x != x || fabs(got_y - y) > 1e-9)
                fail_msg("%s: '%s' is %g %g, not %g %g", grounds[i], text, got_x, got_y, x, y);
        }
    }
}

/* Written from any line in quarter steps, a place is the same when it is said again. */
static void from_whichever_line_it_was_written(void **state)
{
    (void)state;
    static const char *const lines[][4] = {
        {"front sideline", "front hash", "back hash", "back sideline"},
        {"front edge", "center", "back edge", NULL}};
    for (int i = 0; i < GROUNDS; i++) {
        const struct grid g = ground(grounds[i]);
        for (int k = 0; k < 4 && lines[g.surface][k]; k++)
            for (int q = 0; q < 40; q++) {
                char text[80], again[SPOT_TEXT];
                double y, y_again;
                struct err e;
                snprintf(text, sizeof text, "%g %s %s", q / 4.0, q % 2 ? "behind" : "in front of",
                         lines[g.surface][k]);
                if (!depth_parse(&g, text, &y, &e))
                    continue; /* off a floor */
                depth_text(&g, y, again);
                if (!depth_parse(&g, again, &y_again, &e) || fabs(y_again - y) > 1e-9)
                    fail_msg("%s: '%s' became '%s'", grounds[i], text, again);
            }
    }
}

static const struct word {
    const char *name, *ground, *text;
    double x, y;
    const char *wrong; /* instead */
} words[] = {
    {"a comma between", "high-school", "on 50, on front hash", 0, 28, NULL},
    {"commas everywhere", "high-school", "side 1, 2.5 outside 35, 4 behind front hash", -26.5, 32,
     NULL},
    {"nothing between", "high-school", "on 50 4 behind front hash", 0, 32, NULL},
    {"lines alone", "high-school", "S1 35, front hash", -24, 28, NULL},
    {"lines alone, nothing between", "college", "35 side 2 back sideline", 24, 84, NULL},
    {"the goal line alone", "high-school", "side 1 goal line; back hash", -80, 56, NULL},
    {"a floor's middle alone", "floor 90x60 ft", "center; back edge", 0, 32, NULL},
    {"a line alone without its side", "high-school", "35; front hash", 0, 0, "which side?"},
    {"left of a line is not on it", "high-school", "left of 35; front hash", 0, 0,
     "'left of 35' is not a place across the field"},
    {"a slash", "college", "S2 on 35 / 4 behind home hash", 24, 36, NULL},
    {"a floor's words", "floor 90x60 ft", "left 12 off center; 2 in front of center", -12, 14,
     NULL},
    {"a floor's sidelines", "floor 90x60 ft", "on middle, on back sideline", 0, 32, NULL},
    {"one half only", "high-school", "side 1, on 35", 0, 0,
     "'side 1, on 35': how deep? write it behind that: '; 4 behind front hash'"},
    {"the other half only", "college", "4 behind front hash", 0, 0, "where across?"},
    {"a wrong half is named", "college", "side 1, on 33; on front hash", 0, 0,
     "'side 1, on 33': there is no yard line 33"},
    {"a yard line on a floor", "floor 90x60 ft", "side 1, on 35; on front edge", 0, 0,
     "is not a place across the floor; write 'side 1, 12 off center'"},
    {"a hash on a floor", "floor 90x60 ft", "on center; on front hash", 0, 0,
     "'on front hash' is not a depth; write '6 behind front edge'"},
    {"off the floor", "floor 90x60 ft", "side 1, 25 off center; on front edge", 0, 0,
     "off the floor, which ends 24 steps from the center"},
    {"in front of it", "floor 90x60 ft", "on center; 1 in front of front edge", 0, 0,
     "off the floor, which is 32 steps deep"},
    {"far in front of the field", "high-school", "on 50; 28 in front of front sideline", 0, -28,
     NULL},
};

static void is_read_so(void **state)
{
    const struct word *w = *state;
    const struct grid g = ground(w->ground);
    double x, y;
    struct err e;
    const bool ok = spot_parse(&g, w->text, &x, &y, &e);
    if (w->wrong) {
        assert_false(ok);
        if (!strstr(e.text, w->wrong))
            fail_msg("%s", e.text);
        return;
    }
    if (!ok)
        fail_msg("%s", e.text);
    assert_true(fabs(x - w->x) < 1e-12 && fabs(y - w->y) < 1e-9);
}

static void grounds_by_numbers(void **state)
{
    (void)state;
    static const char *const wrong[] = {"lawn",           "floor",           "floor 90 ft",
                                        "floor 90x60",    "floor 90x60 mi",  "floor 2x60 ft",
                                        "floor -9x6 ft",  "floor nanx60 ft", "floor 90x60 ft wide",
                                        "floor 9e9x60 ft"};
    const struct grid feet = ground("floor 90x60 ft"), metres = ground("floor 27.432 x 18.288 m");
    char text[80];
    struct grid g;
    struct err e;
    assert_true(feet.side_in == 540 && feet.back_sideline_in == 720 && feet.back_sideline == 32);
    assert_true(fabs(metres.side_in - 540) < 1e-9 && fabs(metres.back_sideline - 32) < 1e-9);
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        assert_false(grid_read(wrong[i], &g, &e));
    grid_said(&feet, text);
    assert_string_equal(text, "floor of 90 by 60 ft (48 by 32 steps)");
    g = ground("college");
    grid_said(&g, text);
    assert_string_equal(text, "college (32 20 32 steps)");
}

/* 566/15 and 148/15 steps of 22.5 in, as paces count them. */
static void steps_and_inches_are_the_same_places(void **state)
{
    (void)state;
    for (int i = 0; i < GROUNDS; i++) {
        const struct grid g = ground(grounds[i]);
        for (double y = -30; y < 120; y += 0.37)
            assert_true(fabs(grid_depth_steps(&g, grid_depth_in(&g, y)) - y) < 1e-9);
    }
    const struct grid g = ground("professional");
    assert_true(fabs(grid_depth_in(&g, g.front_hash) / 22.5 - 566 / 15.0) < 1e-9);
    assert_true(fabs((grid_depth_in(&g, g.back_hash) - grid_depth_in(&g, g.front_hash)) / 22.5 -
                     148 / 15.0) < 1e-9);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, saids, is_said_so);
    cases_of(&all, words, is_read_so);
    case_test(&all, quarter_steps_come_back_exactly);
    case_test(&all, from_whichever_line_it_was_written);
    case_test(&all, grounds_by_numbers);
    case_test(&all, steps_and_inches_are_the_same_places);
    return cases_run(&all, "spots in words");
}
