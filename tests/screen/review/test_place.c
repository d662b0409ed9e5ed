/* A place, a set and count, is shown by the first frame at or after it, however it was asked for
 * and whatever the clip's frame rate.
 *
 * Set 1 has 16 counts at 132 beats a minute from 0:01 on, set 2 8 counts, set 3 16 counts at 144.
 * So set 2 begins at 1 + 16 * 60 / 132 = 8.2727 s, set 3 at 11.9091 s. At 30 frames a second these
 * are frames 248.2 and 357.3, at 30000/1001 frames 247.93 and 356.92: the nearest frame lies before
 * the place in the one and behind it in the other. */
#include <math.h>

#include "review/stage.h"

static const char sets[] = "set,counts,tempo,name\n1,16,132,opener\n2,8,132,wedge\n3,16,144,arc\n";

static const struct rate {
    const char *name, *clip;
    double fps;
} rates[] = {{"30 frames a second", "run", 30}, {"29.97 frames a second", "drop", 30000.0 / 1001}};

static struct stage tied_stage(const struct rate *r)
{
    struct stage s = stage_new();
    must(run_in(sets, "boxcall", "add", s.show, "sets", "-", NULL));
    if (strcmp(r->clip, "drop") == 0)
        must(run("boxcall", "add", s.show, "clip", clip_drop(), NULL));
    must(run("boxcall", "count", s.show, r->clip, "tie", "0:01", "1.1", NULL));
    stage_open(&s, NULL, r->clip);
    term_keys(s.t, "Home");
    stage_wait_frame(&s, 0);
    term_wait_idle(s.t);
    return s;
}

/* When a count begins, counted from set 1 count 1. */
static double second_of(int set, int count)
{
    static const double begins[] = {1, 1 + 16 * 60 / 132.0, 1 + 24 * 60 / 132.0};
    return begins[set - 1] + (count - 1) * 60 / (set == 3 ? 144.0 : 132.0);
}

static long frame_of(const struct rate *r, int set, int count)
{
    return (long)ceil(second_of(set, count) * r->fps - 1e-6);
}

static void shows(struct stage *s, const struct rate *r, int set, int count)
{
    static const int counts[] = {16, 8, 16};
    stage_wait_frame(s, frame_of(r, set, count));
    term_wait_row(s->t, stage_transport(s),
                  arena_printf(test_arena(), "set %d %d/%d", set, count, counts[set - 1]));
}

static void page_keys_go_from_set_to_set(void **state)
{
    const struct rate *r = *state;
    struct stage s = tied_stage(r);
    for (int set = 1; set <= 3; set++) {
        term_keys(s.t, "PageDown");
        shows(&s, r, set, 1);
    }
    for (int set = 2; set >= 1; set--) {
        term_keys(s.t, "PageUp");
        shows(&s, r, set, 1);
    }
    term_keys(s.t, "PageUp");
    term_wait_row(s.t, -1, "no set before this");
    term_keys(s.t, "PageDown PageDown");
    shows(&s, r, 3, 1);
    term_keys(s.t, "PageUp PageUp");
    shows(&s, r, 1, 1);
    stage_quit(&s);
}

static void arrows_go_from_count_to_count(void **state)
{
    const struct rate *r = *state;
    struct stage s = tied_stage(r);
    term_keys(s.t, "PageDown");
    shows(&s, r, 1, 1);
    for (int count = 2; count <= 20; count++) {
        term_keys(s.t, "Right");
        shows(&s, r, count > 16 ? 2 : 1, count > 16 ? count - 16 : count);
    }
    for (int count = 19; count >= 1; count--) {
        term_keys(s.t, "Left");
        shows(&s, r, count > 16 ? 2 : 1, count > 16 ? count - 16 : count);
    }
    term_keys(s.t, "Right Right Right Left");
    shows(&s, r, 1, 3);
    stage_quit(&s);
}

static void lines_loops_and_the_rail_go_there_too(void **state)
{
    const struct rate *r = *state;
    struct stage s = tied_stage(r);
    stage_line(&s, "2");
    shows(&s, r, 2, 1);
    stage_line(&s, "1.12");
    shows(&s, r, 1, 12);
    stage_line(&s, "set 3.2");
    shows(&s, r, 3, 2);
    stage_line(&s, "3.1");
    shows(&s, r, 3, 1);
    int row, col;
    assert_true(term_find(s.t, "2       8 132", &row, &col));
    term_click(s.t, row, col, 1);
    shows(&s, r, 2, 1);
    stage_line(&s, "loop set 3");
    term_wait_row(s.t, stage_transport(&s), "set 3 ");
    stage_halt(&s);
    assert_true(stage_frame(&s) >= frame_of(r, 3, 1));
    stage_quit(&s);
}

static void page_keys_go_on_while_the_clip_plays(void **state)
{
    const struct rate *r = *state;
    struct stage s = tied_stage(r);
    stage_play(&s);
    for (int set = 1; set <= 3; set++) {
        term_keys(s.t, "PageDown");
        term_wait_row(s.t, stage_transport(&s), arena_printf(test_arena(), "set %d ", set));
        assert_null(strstr(term_row(s.t, stage_transport(&s)), "17/16"));
    }
    term_keys(s.t, "PageUp PageUp");
    term_wait_row(s.t, stage_transport(&s), "set 1 ");
    stage_halt(&s);
    stage_quit(&s);
}

/* At the end of the drill the last count has passed and none follows. */
static void no_count_is_above_those_of_the_set(void **state)
{
    const struct rate *r = *state;
    struct stage s = tied_stage(r);
    stage_line(&s, "3.16");
    shows(&s, r, 3, 16);
    for (int i = 0; i < 14; i++) {
        term_keys(s.t, "Shift-Right");
        term_wait_idle(s.t);
        assert_false(term_has(s.t, "17/16"));
    }
    stage_quit(&s);
}

static void steps_and_counts_pressed_fast_add_up(void **state)
{
    const struct rate *r = *state;
    struct stage s = tied_stage(r);
    term_keys(s.t, "PageDown");
    shows(&s, r, 1, 1);
    /* Two frames short of count 3: the count behind the step is count 3, not 2. */
    long frames = frame_of(r, 1, 3) - frame_of(r, 1, 2) - 2;
    const char *keys = "Right";
    for (long i = 0; i < frames; i++)
        keys = arena_printf(test_arena(), "%s Shift-Right", keys);
    term_keys(s.t, arena_printf(test_arena(), "%s Right Shift-Right Right", keys));
    shows(&s, r, 1, 4);
    term_keys(s.t, "Shift-Right Left");
    shows(&s, r, 1, 4);
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rates, page_keys_go_from_set_to_set);
    cases_of(&all, rates, arrows_go_from_count_to_count);
    cases_of(&all, rates, lines_loops_and_the_rail_go_there_too);
    cases_of(&all, rates, page_keys_go_on_while_the_clip_plays);
    cases_of(&all, rates, no_count_is_above_those_of_the_set);
    cases_of(&all, rates, steps_and_counts_pressed_fast_add_up);
    return cases_run(&all, "places");
}
