/* When a mark is: at the chord's first key, the reaction lead taken off, on a frame of the clip. */
#include "review/stage.h"

static struct stage s;

static int open_stage(void **state)
{
    (void)state;
    s = stage_new();
    stage_open(&s, NULL, NULL);
    return 0;
}

static int close_stage(void **state)
{
    (void)state;
    stage_quit(&s);
    return 0;
}

/* A chord begun while the clip plays, finished a good while later. The frames on screen before and
 * after the first key hold the frame the program took between them. */
static void chord_in_play(long *before, long *after)
{
    *before = stage_frame(&s);
    term_keys(s.t, "t");
    term_wait_row(s.t, -1, "chord: t");
    *after = stage_frame(&s);
    stage_wait_past(&s, *after + 25);
    term_keys(s.t, "h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
}

static const struct row {
    const char *name, *speed, *lead;
    int lead_frames;
} rows[] = {
    {"while the clip plays the mark is 600 ms before the first key", "1", "600", 18},
    {"at half speed it is 300 ms of the clip before the key", "0.5", "600", 9},
    {"at double speed it is 1.2 s of the clip before the key", "2", "600", 36},
    {"a lead of the person's own is taken off instead", "1", "300", 9},
    {"a lead of nothing takes the frame on screen", "1", "0", 0},
};

static void in_play(void **state)
{
    const struct row *r = *state;
    long before, after;
    stage_calm(&s);
    stage_line(&s, arena_printf(test_arena(), "speed %s", r->speed));
    term_wait_row(s.t, -1, "speed");
    stage_line(&s, arena_printf(test_arena(), "lead %s", r->lead));
    term_wait_row(s.t, -1, "reaction lead");
    stage_go(&s, 60);
    stage_play(&s);
    stage_wait_past(&s, 100);
    chord_in_play(&before, &after);
    stage_halt(&s);
    assert_in_range(stage_newest_call(&s).frame, before - r->lead_frames, after - r->lead_frames);
    stage_line(&s, "speed 1");
    term_wait_row(s.t, -1, "speed 1");
    stage_line(&s, "lead 600");
    term_wait_row(s.t, -1, "lead: 600");
}

static void while_the_clip_stands_the_mark_is_the_frame_on_screen(void **state)
{
    (void)state;
    static const long frames[] = {0, 1, 97, 301, RUN_FRAMES - 1};
    for (size_t i = 0; i < sizeof frames / sizeof *frames; i++) {
        stage_calm(&s);
        stage_go(&s, frames[i]);
        term_keys(s.t, "m 1 p");
        term_wait_row(s.t, -1, "M1, out of step");
        assert_int_equal(stage_newest_call(&s).frame, frames[i]);
    }
}

static void a_mark_in_the_first_half_second_is_not_before_the_clip(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 0);
    term_keys(s.t, "Space t h");
    term_wait_row(s.t, -1, "0:00.0 trumpets");
    assert_in_range(stage_newest_call(&s).frame, 0, 10);
    stage_halt(&s);
}

static void a_mark_made_in_play_is_on_a_frame(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 100);
    stage_play(&s);
    for (int i = 0; i < 8; i++) {
        stage_wait_past(&s, stage_frame(&s) + 3);
        term_keys(s.t, "u 2 s");
        term_wait_row(s.t, -1, "U2, step size");
    }
    stage_halt(&s);
    struct call calls[CALLS_MOST];
    size_t n = stage_calls(&s, "run", calls), of_u2 = 0;
    for (size_t i = 0; i < n; i++) {
        of_u2 += strcmp(calls[i].who, "U2") == 0;
        assert_true(calls[i].frame >= 0);
    }
    assert_int_equal(of_u2, 8);
}

static void no_mark_is_before_where_the_person_stood(void **state)
{
    (void)state;
    for (int i = 0; i < 3; i++) {
        stage_calm(&s);
        stage_go(&s, 150);
        stage_play(&s);
        term_keys(s.t, "t h");
        term_wait_row(s.t, -1, "trumpets, horn angle");
        stage_halt(&s);
        assert_in_range(stage_newest_call(&s).frame, 150, stage_frame(&s));
    }
}

static void no_mark_is_before_where_a_jump_led(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 60);
    stage_play(&s);
    stage_wait_past(&s, 90);
    stage_line(&s, "seek 10");
    stage_wait_past(&s, 300);
    term_keys(s.t, "t h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    stage_halt(&s);
    assert_in_range(stage_newest_call(&s).frame, 300, stage_frame(&s));
}

/* The loop began again: a frame of its first part behind one of its last. */
static bool began_again(void *user)
{
    long *last = user, frame = stage_frame(&s);
    bool again = *last > 165 && frame < 165;
    *last = frame;
    return again;
}

static void no_mark_is_outside_the_loop(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_line(&s, "loop 5.01 6"); /* its beginning is between two frames, 150.3 */
    term_wait_row(s.t, -1, "loop 0:05.0 to 0:06.0");
    for (int i = 0; i < 4; i++) {
        long last = 0;
        term_wait_until(s.t, began_again, &last, "the loop again");
        term_keys(s.t, "t h");
        term_wait_row(s.t, -1, "trumpets, horn angle");
        assert_in_range(stage_newest_call(&s).frame, 151, 180);
        term_keys(s.t, ":");
        term_keys(s.t, "Esc");
    }
    stage_halt(&s);
}

static void a_lead_out_of_reach_is_refused(void **state)
{
    (void)state;
    static const char *const bad[] = {"lead -1", "lead 9000", "lead soon", "lead 60x"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        stage_calm(&s);
        stage_line(&s, bad[i]);
        term_wait_row(s.t, -1, "0 to 3000 ms");
    }
    stage_line(&s, "lead");
    term_wait_row(s.t, -1, "lead: 600 ms");
    stage_line(&s, "lead 450");
    term_wait_row(s.t, -1, "lead: 450 ms");
    stage_line(&s, "lead default");
    term_wait_row(s.t, -1, "lead: 600 ms");
}

static void the_lead_is_kept_for_this_person_alone(void **state)
{
    (void)state;
    struct stage shared = s;
    s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_line(&s, "lead 450");
    term_wait_row(s.t, -1, "450 ms");
    stage_quit(&s);
    stage_open(&s, NULL, NULL);
    stage_line(&s, "lead");
    term_wait_row(s.t, -1, "450 ms");
    stage_quit(&s);
    const char *const env[] = {"BOXCALL_AUTHOR=Ben Rook", NULL};
    stage_open(&s, &(struct term_setup){.env = env}, NULL);
    stage_line(&s, "lead");
    term_wait_row(s.t, -1, "600 ms");
    stage_quit(&s);
    s = shared;
}

static void the_measuring_of_the_lead_is_left_without_a_change(void **state)
{
    (void)state;
    stage_calm(&s);
    term_keys(s.t, "F6");
    term_wait_text(s.t, "Space begins");
    term_keys(s.t, "Space");
    term_wait_text(s.t, "0 of 9 right");
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "time    marks");
    stage_line(&s, "lead");
    term_wait_row(s.t, -1, "600 ms");
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, in_play);
    case_test(&all, while_the_clip_stands_the_mark_is_the_frame_on_screen);
    case_test(&all, a_mark_in_the_first_half_second_is_not_before_the_clip);
    case_test(&all, a_mark_made_in_play_is_on_a_frame);
    case_test(&all, no_mark_is_before_where_the_person_stood);
    case_test(&all, no_mark_is_before_where_a_jump_led);
    case_test(&all, no_mark_is_outside_the_loop);
    case_test(&all, a_lead_out_of_reach_is_refused);
    case_test(&all, the_lead_is_kept_for_this_person_alone);
    case_test(&all, the_measuring_of_the_lead_is_left_without_a_change);
    return _cmocka_run_group_tests("when a mark is", all.at, all.n, open_stage, close_stage);
}
