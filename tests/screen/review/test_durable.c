/* What the screen has shown is on disk: after kill -9, beside other programs, on a slow line. */
#include <signal.h>

#include "review/stage.h"

#ifdef __SANITIZE_ADDRESS__
enum { KILLS = 10 };
#else
enum { KILLS = 30 };
#endif

static unsigned chance_state = 20261;
static unsigned chance(unsigned below)
{
    chance_state = chance_state * 1103515245u + 12345u;
    return chance_state >> 8 & 0xFFFF ? (chance_state >> 8) % below : 0;
}

static void what_was_acknowledged_survives_kill_9(void **state)
{
    (void)state;
    static const char *const ends[] = {"h", "p", "f", "d"};
    static const char *const faults[] = {"horn angle", "out of step", "feet apart at halt",
                                         "dress"};
    static struct call rows[CALLS_MOST];
    struct stage s = stage_new();
    long at_least = 0, at_most = 0;
    for (int i = 0; i < KILLS; i++) {
        stage_open(&s, NULL, NULL);
        term_wait_row(s.t, 0, arena_printf(test_arena(), " %d mark", i));
        long begun = stage_frame(&s); /* the place was kept */
        assert_in_range(begun, at_least, at_most);
        if (begun > 500)
            stage_go(&s, begun = 0);
        stage_play(&s);
        stage_wait_past(&s, begun + (long)chance(12));
        unsigned k = chance(4), who = 1 + chance(8);
        at_least = stage_frame(&s);
        term_keys(s.t, arena_printf(test_arena(), "t %u %s", who, ends[k]));
        term_wait_row(s.t, -1, arena_printf(test_arena(), "T%u, %s", who, faults[k]));
        at_most = stage_frame(&s) + 1;
        term_signal(s.t, SIGKILL);
        assert_int_equal(term_wait_exit(s.t), -SIGKILL);
        stage_close(&s);
        assert_int_equal(stage_calls(&s, "run", rows), (size_t)i + 1);
        struct call c = stage_newest_call(&s);
        assert_string_equal(c.who, arena_printf(test_arena(), "T%u", who));
        assert_string_equal(c.fault, faults[k]);
    }
    struct run check = run("boxcall", "check", s.show, NULL);
    assert_exit(check, 0);
}

static void what_is_said_about_a_mark_survives_kill_9(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t h 3 * Enter");
    term_wait_row(s.t, -1, "note:");
    term_type(s.t, "bells");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
    term_signal(s.t, SIGKILL);
    term_wait_exit(s.t);
    stage_close(&s);
    struct call c = stage_only_call(&s);
    assert_int_equal(c.severity, 3);
    assert_string_equal(c.cause, "define");
    assert_string_equal(c.note, "bells");
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: noted"); /* and can still be taken back */
    assert_string_equal(stage_only_call(&s).note, "");
    stage_quit(&s);
}

static void marks_from_a_script_appear_in_the_running_review(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_mark(&s, "1", "T4", "h");
    stage_wait_call(&s, "0:01.0", "T4", NULL);
    term_wait_row(s.t, 0, "1 mark");
    stage_play(&s);
    stage_mark(&s, "2", "T5", "h");
    stage_wait_call(&s, "0:02.0", "T5", NULL);
    term_keys(s.t, "F2");
    term_wait_text(s.t, "T4 1, T5 1");
    stage_quit(&s);
}

static void a_script_breaks_neither_a_chord_nor_a_repeat(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_go(&s, 60);
    term_keys(s.t, "t 3");
    term_wait_row(s.t, -1, "chord: t3");
    stage_mark(&s, "1", "T4", "h");
    term_wait_row(s.t, 0, "1 mark");
    term_keys(s.t, "h");
    term_wait_row(s.t, -1, "T3, horn angle");
    term_keys(s.t, "2");
    term_wait_row(s.t, -1, "severity 2");
    stage_mark(&s, "1", "T5", "h");
    term_wait_row(s.t, 0, "3 marks");
    term_keys(s.t, "'");
    term_wait_row(s.t, 0, "4 marks");
    assert_string_equal(stage_newest_call(&s).who, "T3");
    stage_quit(&s);
}

static void two_reviews_of_one_show_see_each_others_marks(void **state)
{
    (void)state;
    struct stage a = stage_new(), b = a;
    b.home = temp_dir();
    const char *const env[] = {"BOXCALL_AUTHOR=Ben Rook", NULL};
    stage_open(&a, NULL, NULL);
    stage_open(&b, &(struct term_setup){.env = env}, NULL);
    term_keys(a.t, "t 1 h");
    term_wait_row(a.t, -1, "T1, horn angle");
    term_wait_row(b.t, 0, "1 mark");
    term_keys(b.t, "m 1 p");
    term_wait_row(b.t, -1, "M1, out of step");
    term_wait_row(a.t, 0, "2 marks");
    stage_wait_call(&a, "0:00.0", "M1", NULL);
    struct call rows[CALLS_MOST];
    assert_int_equal(stage_calls(&a, "run", rows), 2);
    assert_string_equal(rows[0].author, "Ana Quill");
    assert_string_equal(rows[1].author, "Ben Rook");
    stage_quit(&a);
    term_keys(b.t, "m 2 p");
    term_wait_row(b.t, 0, "3 marks");
    stage_quit(&b);
}

/* --- a slow line ----------------------------------------------------------------------------- */

struct waited {
    struct stage *s;
    size_t n;
};

static bool has_calls(void *user)
{
    const struct waited *w = user;
    static struct call rows[CALLS_MOST];
    return stage_calls(w->s, "run", rows) >= w->n;
}

/* The terminal takes this much; a chord typed while the picture moves is stored all the same. */
static void mark_on_a_line_of(int bytes_per_second)
{
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_play(&s);
    stage_wait_past(&s, 10);
    term_speed(s.t, bytes_per_second);
    for (size_t n = 1; n <= 3; n++) {
        term_keys(s.t, "t 3 h");
        struct waited w = {&s, n};
        term_wait_until(s.t, has_calls, &w, "the mark in the show file");
    }
    term_speed(s.t, TERM_FULL_SPEED);
    term_wait_row(s.t, 0, "3 marks");
    stage_quit(&s);
}

static void a_slow_terminal_holds_no_mark_up(void **state)
{
    (void)state;
    mark_on_a_line_of(2000);
}

static void a_terminal_that_stands_still_holds_no_mark_up(void **state)
{
    (void)state;
    mark_on_a_line_of(TERM_FROZEN);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, what_was_acknowledged_survives_kill_9);
    case_test(&all, what_is_said_about_a_mark_survives_kill_9);
    case_test(&all, marks_from_a_script_appear_in_the_running_review);
    case_test(&all, a_script_breaks_neither_a_chord_nor_a_repeat);
    case_test(&all, two_reviews_of_one_show_see_each_others_marks);
    case_test(&all, a_slow_terminal_holds_no_mark_up);
    case_test(&all, a_terminal_that_stands_still_holds_no_mark_up);
    return cases_run(&all, "what the screen has shown is on disk");
}
