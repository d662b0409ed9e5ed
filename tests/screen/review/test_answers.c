/* Answers of the terminal that come late and in pieces, and what was typed before the review was
 * there: no letter of an answer is a key. The answers are those that terminals give to the
 * questions of the start (XTerm Control Sequences; the kitty graphics protocol). */
#include <time.h>

#include "review/stage.h"

static const struct row {
    const char *name, *first, *rest;
} rows[] = {
    {"the version", "\033P>|x", "term(379)\033\\"},
    {"the version, within its end", "\033P>|thm(379)\033", "\\"},
    {"the background", "\033]11;rgb:2e", "2e/3434/4141 th\033\\"},
    {"the rendition", "\033P1$r48:2:1:", "18:52:86mth\033\\"},
    {"a picture", "\033_Gi=31;", "ENOENT:th\033\\"},
    {"the attributes", "\033[?62;", "22c"},
    {"the attributes, behind their ESC", "\033", "[?62;22c"},
};

/* Without pictures, whose pace hangs on answers that would come between the pieces: a terminal ends
 * one answer before it begins the next. */
static struct stage plain_stage(void)
{
    struct stage s = stage_new();
    s.options[0] = "--picture";
    s.options[1] = "none";
    return s;
}

/* Here the pause is what is tested. */
static void pause_100_ms(void)
{
    nanosleep(&(struct timespec){.tv_nsec = 100000000}, NULL);
}

static void an_answer_in_two_pieces_is_no_key(void **state)
{
    const struct row *r = *state;
    struct stage s = plain_stage();
    stage_open(&s, NULL, NULL);
    stage_go(&s, 60);
    term_send(s.t, r->first, strlen(r->first));
    pause_100_ms();
    term_send(s.t, r->rest, strlen(r->rest));
    term_wait_idle(s.t);
    term_wait_row(s.t, -1, "letters mark:"); /* no line is open, nothing is said */
    term_wait_text(s.t, "0 marks");
    stage_calm(&s);
    term_keys(s.t, "m h");
    term_wait_row(s.t, -1, "mellophones, horn angle");
    assert_string_equal(stage_only_call(&s).who, "mellophones");
    stage_quit(&s);
}

static void an_answer_that_does_not_end_is_told_and_esc_ends_it(void **state)
{
    (void)state;
    struct stage s = plain_stage();
    stage_open(&s, NULL, NULL);
    term_send(s.t, "\033P>|x", 5);
    term_wait_row(s.t, -1, "does not end");
    term_keys(s.t, "t h");
    term_wait_idle(s.t);
    term_keys(s.t, "Esc Esc m h");
    term_wait_row(s.t, -1, "mellophones, horn angle");
    assert_string_equal(stage_only_call(&s).who, "mellophones");
    stage_quit(&s);
}

static void ctrl_q_leaves_out_of_an_answer_that_does_not_end(void **state)
{
    (void)state;
    struct stage s = plain_stage();
    stage_open(&s, NULL, NULL);
    term_send(s.t, "\033P>|x", 5);
    stage_quit(&s);
}

/* The terminal of these tests answers nothing here, so the program asks for a second; the version
 * begins within that second and ends after it. */
static void an_answer_cut_by_the_end_of_the_asking_is_no_key(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_start(&s, &(struct term_setup){.mute = true}, NULL);
    term_wait_raw(s.t, "\033[c");
    term_send(s.t, "\033[A\033P>|x", 8);
    stage_transport(&s);
    term_send(s.t, "term(379)\033\\", 11);
    term_wait_idle(s.t);
    stage_calm(&s);
    term_keys(s.t, "m h");
    term_wait_row(s.t, -1, "mellophones, horn angle");
    assert_string_equal(stage_only_call(&s).who, "mellophones");
    stage_quit(&s);
}

static void what_was_typed_ahead_counts_special_keys_too(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_start(&s, &(struct term_setup){.mute = true}, NULL);
    term_wait_raw(s.t, "\033[c");
    term_send(s.t, "\033OQ", 3); /* F2 */
    term_wait_row(s.t, 0, "fix list");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, an_answer_in_two_pieces_is_no_key);
    case_test(&all, an_answer_that_does_not_end_is_told_and_esc_ends_it);
    case_test(&all, ctrl_q_leaves_out_of_an_answer_that_does_not_end);
    case_test(&all, an_answer_cut_by_the_end_of_the_asking_is_no_key);
    case_test(&all, what_was_typed_ahead_counts_special_keys_too);
    return cases_run(&all, "answers of the terminal");
}
