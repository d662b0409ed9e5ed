/* The rep plan on its screen: what stays readable while the show is loaded again, which keys it
 * names, what it says about heat and about walking first. */
#include "review/stage.h"

static struct stage s;

/* Dots by which T1 and U1 change places on the way to set 2. */
static const char dots[] = "performer,set,x,y\nT1,1,0,30\nT1,2,8,30\nU1,1,8,30\nU1,2,0,30\n";

static int open_stage(void **state)
{
    (void)state;
    s = stage_new();
    must(run_in(dots, "boxcall", "add", s.show, "dots", "-", NULL));
    must(run("boxcall", "count", s.show, "run", "tie", "0", "1", NULL));
    stage_mark(&s, "4", "T3", "h");
    stage_mark(&s, "9", "trumpets", "phasing");
    stage_mark(&s, "10", "brass", "late arrival");
    stage_mark(&s, "12", "tubas", "slouch");
    return 0;
}

static int close_stage(void **state)
{
    (void)state;
    stage_quit(&s);
    return 0;
}

static void lists_the_plan(void)
{
    term_wait_row(s.t, 0, "rep plan");
    term_wait_text(s.t, "[ ] 18:00");
    term_wait_text(s.t, "set 2");
}

/* Each of these loads the show again while the plan is on the screen or behind it. */
static void a_tick_and_an_undo_leave_the_plan_readable(void **state)
{
    (void)state;
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 90 18:00");
    lists_the_plan();
    term_keys(s.t, "Down Space");
    term_wait_text(s.t, "[x] ");
    term_wait_row(s.t, -1, "done; ");
    term_keys(s.t, "Space");
    term_wait_gone(s.t, "[x] ");
    term_keys(s.t, "Space");
    term_wait_text(s.t, "[x] ");
    term_keys(s.t, "Ctrl-z"); /* a tick is a step */
    term_wait_row(s.t, -1, "taken back: tick block ");
    term_wait_gone(s.t, "[x] ");
    term_keys(s.t, "Esc");
    stage_calm(&s);
    term_keys(s.t, "t h");
    term_wait_text(s.t, "horn angle");
    term_keys(s.t, "3 Ctrl-z Ctrl-z F5");
    lists_the_plan();
    for (int i = 0; i < 3; i++) {
        stage_mark(&s, "5", "T2", "h"); /* another program writes */
        term_keys(s.t, "Down Up");
        lists_the_plan();
    }
}

static void the_header_names_only_keys_that_work(void **state)
{
    (void)state;
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 90 18:00");
    lists_the_plan();
    term_wait_row(s.t, 1, "+ - reps   < > move   = keep   Delete drop   Space done   Enter first");
    term_keys(s.t, "Space");
    term_wait_row(s.t, 1,
                  "Space done   Enter first moment   :plan MINUTES START plans what is left");
    term_keys(s.t, "Space");
    term_wait_row(s.t, 1, "+ - reps");
    stage_quit(&s);
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "F5");
    term_wait_row(s.t, 1, "Space done   :plan MINUTES START makes a new one");
    assert_null(strstr(term_row(s.t, 1), "drop"));
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "a stored plan keeps no moments");
    term_keys(s.t, "+");
    term_wait_row(s.t, -1, "this is the stored plan");
}

static void the_heat_of_the_stored_plan_stays_on_the_screen(void **state)
{
    (void)state;
    must(run("boxcall", "plan", s.show, "--minutes", "60", "--start", "18:00", "--wbgt", "88F",
             NULL));
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 60 18:00");
    lists_the_plan();
    term_wait_row(s.t, 0, "WBGT 88F");
    term_wait_row(s.t, -1, "WBGT 88F holds on (:plan 60 18:00 76F, or none");
    term_wait_text(s.t, "Local policy, the athletic trainer and licensed practice decide");
    stage_line(&s, "plan 60 18:00 95F");
    term_wait_row(s.t, -1, "NO OUTDOOR ACTIVITY at WBGT 95.0 F");
    term_wait_text(s.t, "No plan yet");
}

static void who_comes_near_whom_is_said_on_the_screen(void **state)
{
    (void)state;
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 6 18:00");
    lists_the_plan();
    term_wait_text(s.t, "walk 1st");
    term_wait_text(s.t, "set 2: T1 and U1 come within 0 in of each other near count 5");
    term_wait_text(s.t, "first rep walked at half tempo");
}

#define ON_STAGE(test) cmocka_unit_test_setup_teardown(test, open_stage, close_stage)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ON_STAGE(a_tick_and_an_undo_leave_the_plan_readable),
        ON_STAGE(the_header_names_only_keys_that_work),
        ON_STAGE(the_heat_of_the_stored_plan_stays_on_the_screen),
        ON_STAGE(who_comes_near_whom_is_said_on_the_screen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
