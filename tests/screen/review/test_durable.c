/* What the screen has shown is on disk: beside other programs, and on a slow line. */
#include "review/stage.h"

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
    term_wait_text(s.t, "T4 ×1,");
    term_wait_text(s.t, "T5 ×1");
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
    case_test(&all, marks_from_a_script_appear_in_the_running_review);
    case_test(&all, a_script_breaks_neither_a_chord_nor_a_repeat);
    case_test(&all, two_reviews_of_one_show_see_each_others_marks);
    case_test(&all, a_slow_terminal_holds_no_mark_up);
    case_test(&all, a_terminal_that_stands_still_holds_no_mark_up);
    return cases_run(&all, "what the screen has shown is on disk");
}
