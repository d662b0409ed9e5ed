/* A crossing of painted lines in two or three keys. Depths in steps of drill paper: high school 28 28
 * 28, college 32 20 32 (trade convention, common practice, no source), professional 38 10 38 (ours, see
 * show/grid.h). The tops of the numbers stand nine yards from their sideline (NCAA football rule
 * 1-2-1): in steps 324 in by the steps between sideline and hash, 28 of 640 in, 32 of 720, 38 of 849. */
#include <math.h>
#include <string.h>

#include "command/spot_keys.h"
#include "lib/cases.h"

static const struct spot_row {
    const char *name, *keys;
    double across;   /* from the 50, to the side that was said */
    double depth[3]; /* high school, college, professional */
} spots[] = {
    {"the front sideline", "35s", 24, {0, 0, 0}},
    {"the front numbers", "35n", 24, {324 * 28.0 / 640, 324 * 32.0 / 720, 324 * 38.0 / 849}},
    {"the front hash", "35f", 24, {28, 32, 38}},
    {"the back hash", "35b", 24, {56, 52, 48}},
    {"the back numbers",
     "35m",
     24,
     {84 - 324 * 28.0 / 640, 84 - 324 * 32.0 / 720, 86 - 324 * 38.0 / 849}},
    {"the back sideline", "35k", 24, {84, 84, 86}},
    {"one key for a ten", "3f", 32, {28, 32, 38}},
    {"and two", "30f", 32, {28, 32, 38}},
    {"one key for the 50", "5f", 0, {28, 32, 38}},
    {"the 50 in two", "50f", 0, {28, 32, 38}},
    {"the 5", "05f", 72, {28, 32, 38}},
    {"the goal line", "0f", 80, {28, 32, 38}},
    {"the goal line in two", "00f", 80, {28, 32, 38}},
    {"the 10", "1k", 64, {84, 84, 86}},
    {"the 45", "45s", 8, {0, 0, 0}},
};

static void a_crossing_is_where_it_is_painted(void **state)
{
    const struct spot_row *r = *state;
    static const char *const grids[] = {"high-school", "college", "professional"};
    for (size_t g = 0; g < 3; g++)
        for (int side = 1; side <= 2; side++) {
            struct dot_place at = {NAN, NAN};
            assert_int_equal(spot_keys_read(grid_named(grids[g]), r->keys, side, &at),
                             SPOT_KEYS_DONE);
            assert_true(fabs(at.x - (side == 1 ? -r->across : r->across)) < 1e-9);
            if (fabs(at.y - r->depth[g]) > 1e-9)
                fail_msg("%s on a %s field: %g steps deep, not %g", r->keys, grids[g], at.y,
                         r->depth[g]);
        }
}

static const struct begun_row {
    const char *name, *keys;
    enum spot_keys what;
} begun[] = {
    {"nothing", "", SPOT_KEYS_MORE},       {"a digit", "3", SPOT_KEYS_MORE},
    {"a yard line", "35", SPOT_KEYS_MORE}, {"a nought", "0", SPOT_KEYS_MORE},
    {"no line", "36", SPOT_KEYS_WRONG},    {"past the 50", "55", SPOT_KEYS_WRONG},
    {"no ten", "6", SPOT_KEYS_WRONG},      {"three digits", "350", SPOT_KEYS_WRONG},
    {"a row alone", "f", SPOT_KEYS_WRONG}, {"a row behind a row", "35ff", SPOT_KEYS_WRONG},
    {"no row", "35x", SPOT_KEYS_WRONG},    {"a row first", "f35", SPOT_KEYS_WRONG},
    {"a sign", "3-", SPOT_KEYS_WRONG},
};

static void keys_that_are_begun_or_wrong_say_so(void **state)
{
    const struct begun_row *r = *state;
    struct dot_place at = {123, 456};
    assert_int_equal(spot_keys_read(grid_named("college"), r->keys, 1, &at), r->what);
    assert_true(at.x == 123 && at.y == 456);
}

/* Whatever is typed key by key ends: no way leads on for ever. */
static void three_keys_always_decide(void **state)
{
    (void)state;
    static const char keys[] = "0123456789snfbmkx";
    for (const char *a = keys; *a; a++)
        for (const char *b = keys; *b; b++)
            for (const char *c = keys; *c; c++) {
                struct dot_place at;
                const char typed[4] = {*a, *b, *c};
                assert_int_not_equal(spot_keys_read(grid_named("college"), typed, 1, &at),
                                     SPOT_KEYS_MORE);
            }
}

static const struct said_row {
    const char *name, *keys;
    int side;
    const char *said;
} said[] = {
    {"nothing: its side", "", 2, "side 2"},
    {"a line", "35", 1, "side 1, the 35"},
    {"a ten", "3", 2, "side 2, the 30"},
    {"the 5", "05", 1, "side 1, the 5"},
    {"the goal line", "0", 2, "side 2, the goal line"},
    {"the 50 has no side", "5", 1, "the 50"},
};

static void what_was_typed_is_said_in_words(void **state)
{
    const struct said_row *r = *state;
    char out[48];
    spot_keys_said(r->keys, r->side, out);
    assert_string_equal(out, r->said);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, spots, a_crossing_is_where_it_is_painted);
    cases_of(&all, begun, keys_that_are_begun_or_wrong_say_so);
    case_test(&all, three_keys_always_decide);
    cases_of(&all, said, what_was_typed_is_said_in_words);
    return cases_run(&all, "spots in keys");
}
