/* A call that says the wrong thing is put right; the newest one stays in sight; a search finds what a
 * filter hides. */
#include "review/stage.h"

static void wait_call(struct stage *s, const char *time, const char *who, const char *fault)
{
    stage_wait_call(s, time, who, NULL);
    stage_wait_call(s, time, fault, NULL);
}

static void only(struct stage *s, const char *who, const char *fault, int ms)
{
    struct call c = stage_only_call(s);
    assert_string_equal(c.who, who);
    assert_string_equal(c.fault, fault);
    assert_int_equal(c.ms, ms);
}

static void a_call_is_put_right_in_two_keys_and_one_undo(void **state)
{
    (void)state;
    struct stage s = stage_new();
    must(run("boxcall", "mark", s.show, "run", "2", "T4", "horn angle", NULL));
    must(run("boxcall", "mark", s.show, "run", "0.5", "M1", "late arrival", NULL));
    stage_open(&s, NULL, NULL);
    term_wait_row(s.t, 0, "2 marks");
    stage_line(&s, "5");
    stage_calm(&s);
    term_keys(s.t, "Up");
    term_wait_idle(s.t);
    /* whom: the fault stays */
    term_keys(s.t, "# t 5 Enter");
    term_wait_row(s.t, -1,
                  "0:02.0 T4, horn angle, now 0:02.0 T5, horn angle (Ctrl-z takes it back)");
    wait_call(&s, "0:02.0", "T5", "horn angle");
    term_keys(s.t, "Ctrl-z");
    wait_call(&s, "0:02.0", "T4", "horn angle");
    /* whom and what */
    term_keys(s.t, "Up Down # m b");
    wait_call(&s, "0:02.0", "mellophones", "bent line");
    term_keys(s.t, "Ctrl-z");
    wait_call(&s, "0:02.0", "T4", "horn angle");
    /* when: a second earlier */
    term_keys(s.t, "Up Down #");
    term_wait_text(s.t, "what is right?");
    term_keys(s.t, "Left Enter");
    wait_call(&s, "0:01.0", "T4", "horn angle");
    /* when: where the clip is */
    stage_line(&s, "4");
    stage_calm(&s);
    term_keys(s.t, "Up");
    term_wait_idle(s.t);
    stage_line(&s, "correct at 3.5");
    wait_call(&s, "0:03.5", "T4", "horn angle");
    /* what alone, by its name; the prompt names the mark */
    term_keys(s.t, "# =");
    term_wait_row(s.t, -1, "0:03.5 T4, horn angle, what:");
    term_type(s.t, "bent line");
    term_keys(s.t, "Enter");
    wait_call(&s, "0:03.5", "T4", "bent line");
    /* in which clip */
    term_keys(s.t, "# |");
    term_wait_row(s.t, -1, "0:03.5 T4, bent line, in which clip:");
    term_type(s.t, "stands");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, 0, "1 mark");
    stage_quit(&s);
    struct call rows[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "stands", rows), 1);
    assert_string_equal(rows[0].who, "T4");
    assert_string_equal(rows[0].fault, "bent line");
    only(&s, "M1", "late arrival", 500);
}

static void a_call_left_alone_is_as_it_was(void **state)
{
    (void)state;
    struct stage s = stage_new();
    must(run("boxcall", "mark", s.show, "run", "2", "T4", "horn angle", NULL));
    stage_open(&s, NULL, NULL);
    stage_line(&s, "5");
    stage_calm(&s);
    term_keys(s.t, "Up");
    term_wait_idle(s.t);
    term_keys(s.t, "# Right Esc");
    term_wait_row(s.t, -1, "the mark is as it was");
    term_keys(s.t, "# = n o Enter");
    term_wait_row(s.t, -1, "the mark is as it was");
    term_keys(s.t, "Esc # F2");
    term_wait_row(s.t, 0, "fix list");
    stage_quit(&s);
    only(&s, "T4", "horn angle", 2000);
}

/* 1 2 3 speak of it, so it is seen, wherever the clip goes on to. */
static void the_newest_mark_stays_in_sight(void **state)
{
    (void)state;
    struct stage s = stage_new();
    for (int k = 6; k < 16; k++)
        must(run("boxcall", "mark", s.show, "run", arena_printf(test_arena(), "%d", k), "M1",
                 "late arrival", NULL));
    stage_open(&s, NULL, NULL);
    stage_go(&s, 30);
    term_keys(s.t, "t 4 h");
    wait_call(&s, "0:01.0", "T4", "horn angle");
    stage_line(&s, "15");
    stage_calm(&s);
    wait_call(&s, "0:15.0", "M1", "late arrival");
    wait_call(&s, "0:01.0", "T4", "horn angle");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "0:01.0 T4, horn angle, note:");
    term_keys(s.t, "Esc");
    stage_quit(&s);
}

static void a_search_goes_behind_the_filter_and_says_so(void **state)
{
    (void)state;
    struct stage s = stage_new();
    must(run("boxcall", "mark", s.show, "run", "2", "T4", "horn angle", NULL));
    must(run("boxcall", "mark", s.show, "run", "4", "M1", "late arrival", NULL));
    stage_open(&s, NULL, NULL);
    stage_line(&s, "filter horn");
    term_wait_row(s.t, 0, "1 of 2 marks");
    stage_line(&s, "find late");
    term_wait_row(s.t, -1, "'late' was behind the filter 'horn': all calls are shown again");
    term_wait_row(s.t, 0, "2 marks");
    term_wait_idle(s.t);
    stage_line(&s, "filter horn");
    term_wait_row(s.t, 0, "1 of 2 marks");
    stage_line(&s, "find nothing like it");
    term_wait_row(s.t, -1, "no call has");
    term_wait_row(s.t, 0, "1 of 2 marks");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_call_is_put_right_in_two_keys_and_one_undo);
    case_test(&all, a_call_left_alone_is_as_it_was);
    case_test(&all, the_newest_mark_stays_in_sight);
    case_test(&all, a_search_goes_behind_the_filter_and_says_so);
    return cases_run(&all, "calls put right");
}
