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
    term_wait_text(s.t, "18:00");
    term_wait_text(s.t, "Local policy, the athletic trainer");
}

/* Each of these loads the show again while the plan is on the screen or behind it. */
static void a_tick_and_an_undo_leave_the_plan_readable(void **state)
{
    (void)state;
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 90 18:00 none");
    lists_the_plan();
    term_keys(s.t, "PageDown Up Space");
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

/* A message of two rows does not cover it. */
static void who_decides_stays_in_sight(void **state)
{
    (void)state;
    stage_mark(&s, "10.5", "color guard", "late arrival");
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 90 18:00");
    lists_the_plan();
    term_keys(s.t, "Down Space"); /* the first block for everyone */
    term_wait_text(s.t, "[x] ");
    term_keys(s.t, "Space");
    term_wait_text(s.t, "not done after all; ");
    term_wait_row(s.t, -2, "not done after all; ");
    term_wait_text(s.t, "this plan clears nobody to work");
}

/* Those that change a plan work at once on a stored one too, as long as it comes out the same. */
static void the_header_names_only_keys_that_work(void **state)
{
    (void)state;
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 90 18:00");
    lists_the_plan();
    term_wait_row(s.t, 1, "+ - reps  < > move  = keep  Delete drop  Space done  Enter moment  Tab");
    stage_quit(&s);
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "F5");
    term_wait_row(s.t, 1, "+ - reps  < > move");
    term_keys(s.t, "PageDown Up Space");
    term_wait_text(s.t, "[x] ");
    term_wait_row(s.t, 1, "Space done   Enter first moment   Tab form   a change plans anew");
    assert_null(strstr(term_row(s.t, 1), "drop"));
    term_keys(s.t, "+");
    term_wait_row(s.t, -1, "ticks stay, plan the rest? y/n: n");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "the stored plan stays as it is");
}

/* The line of `tick` that has the text: its number, and the minute. */
static void called(const char *list, const char *what, char number[16], char minute[16])
{
    const char *at = strstr(list, what);
    assert_non_null(at);
    while (at > list && at[-1] != '\n')
        at--;
    assert_int_equal(sscanf(at, "%15s [ ] %15s", number, minute), 2);
}

/* What is on paper is found again: rows have the number that tick takes, the chosen chunk its own. */
static void blocks_have_the_numbers_of_the_paper(void **state)
{
    (void)state;
    char number[16], minute[16];
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 90 18:00");
    lists_the_plan();
    const char *list = run("boxcall", "tick", s.show, NULL).out;
    called(list, " ensemble: set ", number, minute);
    term_wait_text(s.t, arena_printf(test_arena(), "[ ] %2s %s", number, minute));
    called(list, " tubas: set ", number, minute);
    term_keys(s.t, "Right Right");
    term_wait_text(s.t, arena_printf(test_arena(), "%s  tubas: set ", number));
}

/* Time down, sections across, and one column behind; the keys go from section to section. */
static void the_sectional_period_stands_in_columns(void **state)
{
    (void)state;
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 90 18:00");
    lists_the_plan();
    term_wait_text(s.t, "tubas");
    int names = 0;
    while (!strstr(term_row(s.t, names), "tubas"))
        names++;
    assert_non_null(strstr(term_row(s.t, names), "trumpets")); /* beside each other */
    assert_non_null(strstr(term_row(s.t, names + 1), "18:00"));
    assert_null(strstr(term_row(s.t, names + 1), "ensemble"));
    term_wait_text(s.t, "trumpets: horn angle");
    term_keys(s.t, "Right Right");
    term_wait_text(s.t, "tubas: slouch");
    term_keys(s.t, "Left Left");
    term_wait_text(s.t, "trumpets: horn angle");
    /* Down the column and out of it, not through all sections. */
    term_keys(s.t, "Down");
    term_wait_text(s.t, "phasing (1)");
    term_keys(s.t, "Up");
    term_wait_text(s.t, "trumpets: horn angle");
}

/* What was asked for with the weather is on the screen, not on paper alone. */
static void the_weather_stands_before_the_other_cautions(void **state)
{
    (void)state;
    must(run("boxcall", "plan", s.show, "--minutes", "60", "--temp", "100F", "--humidity", "60",
             NULL));
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "F5");
    term_wait_text(s.t, "HEAT INDEX 129 F, extreme danger: do not plan work outdoors");
    term_wait_row(s.t, -1, "as it is stored; gain ");
    must(run("boxcall", "plan", s.show, "--minutes", "60", "--wbgt", "95F", "--indoors", NULL));
    term_keys(s.t, "Down");
    term_wait_row(s.t, 0, "WBGT 95F indoors");
    term_wait_text(s.t, "INDOORS: this plan is for a rehearsal inside");
}

static void the_form_asks_for_everything(void **state)
{
    (void)state;
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 90 18:00");
    lists_the_plan();
    term_keys(s.t, "Tab");
    term_wait_row(s.t, 0, "a rep plan is asked for");
    term_wait_text(s.t, "18:00");
    term_keys(s.t, "Down Down Down Down Enter");
    term_wait_row(s.t, -1, "fixed, value:");
    term_type(s.t, "warm-up:10");
    term_keys(s.t, "Enter");
    term_wait_text(s.t, "warm-up:10");
    term_keys(s.t, "=");
    term_wait_row(s.t, -1, "90 min from 18:00, replace it? y/n: n");
    term_type(s.t, "y");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, 0, "rep plan 18:00, 90 min");
    term_wait_text(s.t, "warm-up");
    term_keys(s.t, "Tab Down Down Down Down Delete");
    term_wait_gone(s.t, "warm-up:10");
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "warm-up"); /* nothing was made of it */
}

static void the_heat_of_the_stored_plan_stays_on_the_screen(void **state)
{
    (void)state;
    must(run("boxcall", "plan", s.show, "--minutes", "60", "--start", "18:00", "--wbgt", "88F",
             NULL));
    stage_open(&s, NULL, NULL);
    stage_line(&s, "plan 50 18:00");
    term_wait_row(s.t, -1, "60 min, WBGT 88F, replace it? y/n: n");
    term_type(s.t, "y");
    term_keys(s.t, "Enter");
    lists_the_plan();
    term_wait_row(s.t, 0, "WBGT 88F");
    term_wait_row(s.t, -1, "WBGT 88F; gain");
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
    term_wait_text(s.t, "set 2: T1 and U1 come");
    term_wait_text(s.t, "first rep walked at half tempo");
}

#define ON_STAGE(test) cmocka_unit_test_setup_teardown(test, open_stage, close_stage)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ON_STAGE(a_tick_and_an_undo_leave_the_plan_readable),
        ON_STAGE(who_decides_stays_in_sight),
        ON_STAGE(the_header_names_only_keys_that_work),
        ON_STAGE(blocks_have_the_numbers_of_the_paper),
        ON_STAGE(the_sectional_period_stands_in_columns),
        ON_STAGE(the_weather_stands_before_the_other_cautions),
        ON_STAGE(the_form_asks_for_everything),
        ON_STAGE(the_heat_of_the_stored_plan_stays_on_the_screen),
        ON_STAGE(who_comes_near_whom_is_said_on_the_screen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
