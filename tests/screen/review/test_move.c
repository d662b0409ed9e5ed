/* Moving through the clip: keys, lines, the mouse. */
#include "review/stage.h"

static struct stage s;

static int open_stage(void **state)
{
    (void)state;
    s = stage_new();
    stage_mark(&s, "4", "T1", "h");
    stage_mark(&s, "8", "T2", "p");
    stage_mark(&s, "12", "M1", "h");
    stage_open(&s, NULL, NULL);
    return 0;
}

static int close_stage(void **state)
{
    (void)state;
    stage_quit(&s);
    return 0;
}

static const struct key_row {
    const char *name;
    long from;
    const char *keys;
    long to;
} keys[] = {
    {"right goes on by a second", 150, "Right", 180},
    {"left goes back by a second", 150, "Left", 120},
    {"keys pressed faster than the clip follows add up", 150, "Right Right Right Right Left", 240},
    {"left stops at the beginning", 10, "Left Left", 0},
    {"right stops at the last frame", 590, "Right Right", RUN_FRAMES - 1},
    {"shift and right goes on by a frame", 150, "Shift-Right", 151},
    {"shift and left goes back by a frame", 150, "Shift-Left", 149},
    {"frame keys pressed fast add up", 150, "Shift-Right Shift-Right Shift-Right", 153},
    {"home goes to the first frame", 150, "Home", 0},
    {"end goes to the last frame", 150, "End", RUN_FRAMES - 1},
    {"down goes to the next call", 150, "Down", 240},
    {"down goes on to the call after it", 150, "Down Down", 360},
    {"up goes to the call before", 150, "Up", 120},
    {"page down goes to the next row of the rail, or the end", 150, "PageDown", RUN_FRAMES - 1},
    {"page up goes to the beginning of the row", 150, "PageUp", 0},
};

static void by_key(void **state)
{
    const struct key_row *r = *state;
    stage_calm(&s);
    stage_go(&s, r->from);
    term_keys(s.t, r->keys);
    stage_wait_frame(&s, r->to);
}

static const struct line_row {
    const char *name, *line;
    long to;          /* from frame 150; -1: refused */
    const char *said; /* on the last row */
} lines[] = {
    {"a line goes to minutes and seconds", "0:05.8", 174, NULL},
    {"a line goes to seconds", "14.5", 435, NULL},
    {"seek goes on by seconds", "seek +2", 210, NULL},
    {"seek goes back by seconds", "seek -2", 90, NULL},
    {"seek to the end", "seek end", RUN_FRAMES - 1, NULL},
    {"a signed time is from here", "+2 s", 210, NULL},
    {"blanks before a line do no harm", "   seek 3", 90, NULL},
    {"a time past the end is refused", "5:58.2", -1, "past the end"},
    {"a seek past the end is refused", "seek 21", -1, "past the end"},
    {"a seek before the beginning is refused", "seek -9", -1, "before the clip"},
    {"a time with 99 seconds is refused", "seek 1:99", -1, "1:99"},
    {"counts are refused before the clip is tied", "+16 counts", -1, "tie"},
    {"a set that is nowhere in the clip yet says so", "set 2", -1, "nowhere in this clip"},
    {"a set that does not exist is refused", "set 77", -1, "77"},
    {"an unknown command is answered with a near one", "sped slower", -1, "did you mean 'speed'"},
    {"nonsense is refused", "%$!", -1, "no command"},
    {"a speed out of reach is refused", "speed 9", -1, "0.25 to 2"},
    {"a loop whose end comes first is refused", "loop 0:09 0:03", -1, "comes before"},
    {"a loop without an end is told how to write", "loop 0:09", -1, "loop FROM TO"},
    {"an empty line does nothing", "", 150, NULL},
};

static void by_line(void **state)
{
    const struct line_row *r = *state;
    stage_calm(&s);
    stage_go(&s, 150);
    stage_line(&s, r->line);
    if (r->said)
        term_wait_text(s.t, r->said);
    term_wait_gone_row(s.t, -1, " :");
    term_wait_idle(s.t);
    stage_wait_frame(&s, r->to < 0 ? 150 : r->to);
}

static void a_cancelled_line_does_nothing(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 150);
    term_keys(s.t, ":");
    term_type(s.t, "seek 3");
    term_wait_row(s.t, -1, ": seek 3");
    term_keys(s.t, "Esc");
    term_wait_gone_row(s.t, -1, "seek");
    term_wait_idle(s.t);
    assert_int_equal(stage_frame(&s), 150);
}

static void speed_goes_down_and_up_in_steps(void **state)
{
    (void)state;
    static const char *const down[] = {"0.75x", "0.5x", "0.25x", "0.25x"};
    static const char *const up[] = {"0.5x", "0.75x", "1x", "1.25x", "1.5x", "2x", "2x"};
    stage_calm(&s);
    stage_go(&s, 150);
    for (size_t i = 0; i < sizeof down / sizeof *down; i++) {
        term_keys(s.t, "<");
        term_wait_row(s.t, stage_transport(&s), down[i]);
    }
    for (size_t i = 0; i < sizeof up / sizeof *up; i++) {
        term_keys(s.t, ">");
        term_wait_row(s.t, stage_transport(&s), up[i]);
    }
    stage_line(&s, "speed 1");
    term_wait_row(s.t, stage_transport(&s), " 1x");
}

static bool back_in_loop(void *user)
{
    (void)user;
    return stage_frame(&s) < 150;
}

static void the_loop_key_plays_around_the_chosen_call(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 60);
    term_keys(s.t, "Down");
    stage_wait_frame(&s, 120);
    term_keys(s.t, "\\");
    term_wait_row(s.t, -1, "loop 0:02.0 to 0:07.0");
    term_wait_row(s.t, stage_transport(&s), "loop");
    stage_wait_past(&s, 195); /* near its end at 210 */
    term_wait_until(s.t, back_in_loop, NULL, "the loop's beginning again");
    term_keys(s.t, "\\");
    term_wait_gone_row(s.t, stage_transport(&s), "loop");
    stage_halt(&s);
}

static void a_loop_between_two_times_is_left_with_Esc(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_line(&s, "loop 0:01 0:02.5");
    term_wait_row(s.t, -1, "loop 0:01.0 to 0:02.5");
    stage_wait_past(&s, 60);
    term_wait_until(s.t, back_in_loop, NULL, "the loop's beginning again");
    term_keys(s.t, "Esc");
    term_wait_row(s.t, -1, "no loop");
    stage_wait_past(&s, 80);
    stage_halt(&s);
}

static void at_the_end_the_clip_halts_and_plays_anew(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 585);
    stage_play(&s);
    term_wait_row(s.t, stage_transport(&s), "■");
    stage_wait_frame(&s, RUN_FRAMES - 1);
    stage_play(&s);
    term_wait_until(s.t, back_in_loop, NULL, "the clip's beginning");
    stage_halt(&s);
}

static void find_goes_to_the_next_call_with_the_words(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 150);
    term_keys(s.t, "/");
    term_wait_row(s.t, -1, " find:");
    term_type(s.t, "HORN");
    term_keys(s.t, "Enter");
    stage_wait_frame(&s, 360);
    term_keys(s.t, "/");
    term_wait_row(s.t, -1, " find:");
    term_keys(s.t, "Enter");   /* the same words again */
    stage_wait_frame(&s, 120); /* round the end */
    stage_line(&s, "find tubas");
    term_wait_row(s.t, -1, "no call has 'tubas'");
}

static void the_filter_leaves_only_calls_with_the_words(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 0);
    term_keys(s.t, "&");
    term_wait_row(s.t, -1, "only calls with:");
    term_type(s.t, "horn");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "2 of 3 calls with 'horn'");
    term_wait_row(s.t, 0, "only 'horn': 2 of 3 marks");
    term_wait_gone(s.t, "out of step");
    term_keys(s.t, "Down Down");
    stage_wait_frame(&s, 360); /* the one between is passed over */
    stage_calm(&s);            /* drops choice and filter */
    term_wait_text(s.t, "out of step");
}

/* --- mouse ----------------------------------------------------------------------------------- */

static void click_on(const char *text)
{
    int row, col;
    term_wait_text(s.t, text);
    assert_true(term_find(s.t, text, &row, &col));
    term_click(s.t, row, col, 1);
}

static void a_click_on_a_call_goes_there_and_chooses_it(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 0);
    click_on("0:08.0  T2");
    stage_wait_frame(&s, 240);
    int row, col;
    term_find(s.t, "0:08.0  T2", &row, &col);
    term_wait_idle(s.t);
    assert_true(term_cell(s.t, row, col).reverse);
    term_keys(s.t, "2");
    term_wait_row(s.t, -1, "T2, out of step");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
}

static void a_click_on_the_rail_goes_to_its_row(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 150);
    term_click(s.t, 2, 2, 1); /* 0:00 */
    stage_wait_frame(&s, 0);
    term_click(s.t, 10, 2, 1); /* below the last row: nothing */
    term_wait_idle(s.t);
    assert_int_equal(stage_frame(&s), 0);
}

static bool in_the_middle(void *user)
{
    (void)user;
    long f = stage_frame(&s);
    return f > RUN_FRAMES * 45 / 100 && f < RUN_FRAMES * 55 / 100;
}

static void a_click_on_the_bar_goes_to_that_part_of_the_clip(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 0);
    int row = stage_transport(&s), from = -1, to = -1;
    for (int col = 0; col < term_cols(s.t); col++) {
        const char *text = term_cell(s.t, row, col).text;
        if (!strcmp(text, "●") || !strcmp(text, "─") || !strcmp(text, "┴")) {
            from = from < 0 ? col : from;
            to = col;
        }
    }
    assert_true(to > from + 10);
    term_click(s.t, row, (from + to) / 2, 1);
    term_wait_until(s.t, in_the_middle, NULL, "the middle of the clip");
    term_click(s.t, row, to, 1);
    stage_wait_frame(&s, RUN_FRAMES - 1);
    term_click(s.t, row, from, 1);
    stage_wait_frame(&s, 0);
}

static void a_click_on_the_picture_plays_and_halts(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 0);
    term_click(s.t, 8, 50, 1);
    term_wait_row(s.t, stage_transport(&s), "▶");
    term_click(s.t, 8, 50, 1);
    term_wait_row(s.t, stage_transport(&s), "■");
}

static void the_wheel_moves_by_seconds(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 150);
    term_wheel(s.t, 8, 50, 2);
    stage_wait_frame(&s, 210);
    term_wheel(s.t, 8, 50, -3);
    stage_wait_frame(&s, 120);
}

static void a_button_held_down_does_not_stop_the_clip(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 0);
    term_press(s.t, 8, 50, 1);
    term_wait_row(s.t, stage_transport(&s), "▶");
    stage_wait_past(&s, 15);
    term_release(s.t, 8, 60, 1);
    stage_wait_past(&s, stage_frame(&s) + 10);
    stage_halt(&s);
}

static void other_buttons_do_nothing(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 150);
    term_click(s.t, 8, 50, 2);
    term_click(s.t, 8, 50, 3);
    term_wait_idle(s.t);
    assert_int_equal(stage_frame(&s), 150);
    term_wait_row(s.t, stage_transport(&s), "■");
}

/* On a slow line a report comes in pieces. Without pictures, whose pace hangs on answers that would
 * come between the pieces: a terminal ends one report before it begins the next. */
static void a_mouse_report_in_pieces_is_one_click(void **state)
{
    (void)state;
    static const char *const pieces[] = {"\033[<", "0;4", ";3M", "\033[<0;4;3m"};
    struct stage plain = stage_new();
    plain.options[0] = "--picture";
    plain.options[1] = "none";
    stage_mark(&plain, "0", "T1", "h"); /* the row that is clicked */
    stage_open(&plain, NULL, NULL);
    stage_calm(&plain);
    stage_go(&plain, 150);
    for (size_t i = 0; i < sizeof pieces / sizeof *pieces; i++) {
        term_send(plain.t, pieces[i], strlen(pieces[i]));
        term_wait_idle(plain.t);
    }
    stage_wait_frame(&plain, 0);
    stage_quit(&plain);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, keys, by_key);
    cases_of(&all, lines, by_line);
    case_test(&all, a_cancelled_line_does_nothing);
    case_test(&all, speed_goes_down_and_up_in_steps);
    case_test(&all, the_loop_key_plays_around_the_chosen_call);
    case_test(&all, a_loop_between_two_times_is_left_with_Esc);
    case_test(&all, at_the_end_the_clip_halts_and_plays_anew);
    case_test(&all, find_goes_to_the_next_call_with_the_words);
    case_test(&all, the_filter_leaves_only_calls_with_the_words);
    case_test(&all, a_click_on_a_call_goes_there_and_chooses_it);
    case_test(&all, a_click_on_the_rail_goes_to_its_row);
    case_test(&all, a_click_on_the_bar_goes_to_that_part_of_the_clip);
    case_test(&all, a_click_on_the_picture_plays_and_halts);
    case_test(&all, the_wheel_moves_by_seconds);
    case_test(&all, a_button_held_down_does_not_stop_the_clip);
    case_test(&all, other_buttons_do_nothing);
    case_test(&all, a_mouse_report_in_pieces_is_one_click);
    return _cmocka_run_group_tests("moving", all.at, all.n, open_stage, close_stage);
}
