/* The product in one breath: open, play, say what is seen, leave, read the fix list. */
#include "review/stage.h"

static void a_reviewer_marks_what_is_seen_and_the_section_reads_it(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_wait_row(s.t, 0, "Larkspur");
    term_wait_row(s.t, 0, "run");
    stage_play(&s);
    stage_wait_past(&s, 30);
    long before = stage_frame(&s);
    term_keys(s.t, "t");
    term_wait_row(s.t, -1, "chord: t");
    term_wait_text(s.t, "horn angle"); /* the panel says what h would mean */
    long after = stage_frame(&s);
    term_keys(s.t, "3 h");
    term_wait_row(s.t, -1, "T3, horn angle");
    term_wait_row(s.t, 0, "1 mark");
    stage_wait_past(&s, after + 10); /* the clip has not stopped */
    stage_quit(&s);

    struct call c = stage_only_call(&s);
    assert_string_equal(c.who, "T3");
    assert_string_equal(c.fault, "horn angle");
    assert_in_range(c.frame, before - LEAD_FRAMES, after - LEAD_FRAMES);
    struct run fixes = run("boxcall", "fixes", s.show, "--for", "trumpets", NULL);
    assert_quiet(fixes);
    assert_contains(fixes.out, "horn angle");
    assert_contains(fixes.out, "T3 ×1");
}

static void the_clip_named_is_opened(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, "stands");
    term_wait_row(s.t, 0, "stands");
    term_wait_text(s.t, "/ 0:06.0");
    stage_quit(&s);
}

static void a_clip_that_is_not_there_is_refused_with_a_near_name(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_start(&s, NULL, "stand");
    term_wait_text(s.t, "stands");
    assert_int_equal(term_wait_exit(s.t), 3);
    term_assert_restored(s.t);
    stage_close(&s);
}

static void without_a_name_the_first_clip_not_yet_watched_is_opened(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_wait_row(s.t, 0, " run ");
    stage_quit(&s);
}

static void without_a_name_the_review_goes_on_where_it_was_left(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, "stands");
    stage_go(&s, 100);
    stage_quit(&s);
    stage_open(&s, NULL, NULL);
    term_wait_row(s.t, 0, "stands");
    stage_wait_frame(&s, 100);
    stage_quit(&s);
    stage_open(&s, NULL, "run");
    stage_wait_frame(&s, 0);
    stage_quit(&s);
}

static void a_show_without_a_clip_says_how_to_add_one(void **state)
{
    (void)state;
    struct stage s = {.dir = temp_dir(), .home = temp_dir()};
    s.show = path_in(s.dir, "empty.show");
    struct run made = run("boxcall", "new", s.show, NULL);
    assert_exit(made, 0);
    stage_start(&s, NULL, NULL);
    term_wait_raw(s.t, "boxcall add");
    assert_int_equal(term_wait_exit(s.t), 3);
    stage_close(&s);
}

static void without_a_terminal_the_review_says_so(void **state)
{
    (void)state;
    struct stage s = stage_new();
    struct run r = run("boxcall", s.show, "--silent", NULL);
    assert_exit(r, 1);
    assert_contains(r.err, "needs a terminal");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_reviewer_marks_what_is_seen_and_the_section_reads_it);
    case_test(&all, the_clip_named_is_opened);
    case_test(&all, a_clip_that_is_not_there_is_refused_with_a_near_name);
    case_test(&all, without_a_name_the_first_clip_not_yet_watched_is_opened);
    case_test(&all, without_a_name_the_review_goes_on_where_it_was_left);
    case_test(&all, a_show_without_a_clip_says_how_to_add_one);
    case_test(&all, without_a_terminal_the_review_says_so);
    return cases_run(&all, "the story");
}
