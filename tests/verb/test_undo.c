/* Undo and the plan: a plan is no step, and a person who wants it back must not lose another. */
#include <stdlib.h>
#include <string.h>

#include "lib/term.h"
#include "verb/season.h"

#define DAY "2026-09-01"
#define ASKED                                                                                      \
    "the plan of " DAY " was stored since, and undo takes no plan back; the step before it is "    \
    "'mark T2, horn angle'. Take that back? [y/N]"
#define HOW "another plan of the day takes its place: boxcall plan SHOW --date " DAY " --minutes 90"

static int marks(const struct season *s)
{
    const char *csv = BOX(s, "calls", "a.show", "tue", "--as", "csv").out;
    int n = -1; /* the head */
    for (; *csv; csv++)
        n += *csv == '\n';
    return n;
}

/* A clip with two marks; then the day is planned. */
static struct season planned(void)
{
    struct season s = season_new();
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:04", "1"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "0:05", "T1", "horn angle"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "0:08", "T2", "horn angle"), 0);
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY), 0);
    return s;
}

static void a_script_is_told_that_the_plan_stays(void **state)
{
    (void)state;
    struct season s = planned();
    struct run r = BOX(&s, "undo", "a.show");
    assert_exit(r, 0);
    assert_string_equal(r.err, "taken back: mark T2, horn angle\n"
                               "the plan of " DAY " was stored since and stays, as undo takes no "
                               "plan back; " HOW "\n"
                               "undo --redo brings 'mark T2, horn angle' back\n");
    assert_int_equal(marks(&s), 1);
    ends(BOX(&s, "plan", "a.show", "--date", DAY), 0);
    assert_string_equal(BOX(&s, "undo", "a.show", "--redo").err,
                        "done again: mark T2, horn angle\n");
    assert_int_equal(marks(&s), 2);
}

static void a_person_is_asked_before_a_step_below_a_plan_goes(void **state)
{
    (void)state;
    struct season s = planned();
    for (int yes = 0; yes < 2; yes++) {
        struct term_setup in = {.dir = s.dir, .home = s.dir, .cols = 240};
        struct term *t = term_start(&in, getenv("BOXCALL"), "undo", "a.show", NULL);
        term_wait_text(t, ASKED);
        term_type(t, yes ? "y\r" : "n\r");
        term_wait_text(t, yes ? "taken back: mark T2, horn angle" : "nothing was taken back; " HOW);
        assert_int_equal(term_wait_exit(t), 0);
        term_close(t);
        assert_int_equal(marks(&s), yes ? 1 : 2);
    }
}

static void what_was_done_after_the_plan_is_taken_back_at_once(void **state)
{
    (void)state;
    struct season s = planned();
    ends(BOX(&s, "mark", "a.show", "tue", "0:09", "T1", "horn angle"), 0);
    assert_string_equal(BOX(&s, "undo", "a.show").err, "taken back: mark T1, horn angle\n");
    ends(BOX(&s, "tick", "a.show", "1", "--date", DAY), 0);
    assert_string_equal(BOX(&s, "undo", "a.show").err, "taken back: tick block 1\n");
}

static void somebody_elses_plan_is_no_ones_slip(void **state)
{
    (void)state;
    const char *env[] = {"BOXCALL_AUTHOR=Ana Quill", NULL};
    struct season s = planned(), other = s;
    other.setup.env = env;
    ends(BOX(&other, "mark", "a.show", "tue", "0:09", "T1", "horn angle"), 0);
    ends(BOX(&s, "plan", "a.show", "--minutes", "50", "--date", DAY), 0);
    assert_string_equal(BOX(&other, "undo", "a.show").err, "taken back: mark T1, horn angle\n");
    struct run r = BOX(&other, "undo", "a.show");
    assert_exit(r, 1);
    assert_one_line(r, "a.show: nothing of yours to take back");
    ends(BOX(&other, "plan", "a.show", "--minutes", "40", "--date", "2026-09-02"), 0);
    r = BOX(&other, "undo", "a.show");
    assert_exit(r, 1);
    assert_one_line(r,
                    "a.show: nothing of yours to take back, and undo takes no plan back; another "
                    "plan of the day takes its place: boxcall plan SHOW --date 2026-09-02 "
                    "--minutes 90");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_script_is_told_that_the_plan_stays);
    case_test(&all, a_person_is_asked_before_a_step_below_a_plan_goes);
    case_test(&all, what_was_done_after_the_plan_is_taken_back_at_once);
    case_test(&all, somebody_elses_plan_is_no_ones_slip);
    return cases_run(&all, "undo and plans");
}
