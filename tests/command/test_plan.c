/* The rep plan on the desk: the show may be loaded again at any moment, other programs may change
 * what the plan speaks of, and the heat of the day is not dropped. */
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "app/plan_events.h"
#include "command/line.h"
#include "command/plan.h"
#include "command/plan_form.h"
#include "command/reload.h"
#include "command/run.h"
#include "command/session.h"
#include "lib/cases.h"
#include "lib/run.h"
#include "screen/screens.h"

static struct app app;
static struct desk d;
static const char *show;

static void must(struct run r)
{
    assert_exit(r, 0);
}

#define SECTIONS "section,parent,key\nensemble,,a\nbrass,ensemble,b\n"
#define TABLE    "performer,name,section\nT1,Ada Finch,trumpets\nU1,Cy Moss,tubas\n"

/* Two sections with faults that each can mend alone, and one that needs both. */
static int open_desk(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *clip = path_in(dir, "run.mp4");
    struct err e;
    show = path_in(dir, "a.show");
    must(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i", "color=gray:s=64x36:r=1",
             "-t", "60", "-pix_fmt", "yuv420p", clip, NULL));
    must(run("boxcall", "new", show, NULL));
    must(run_in(SECTIONS "trumpets,brass,t\ntubas,brass,u\n", "boxcall", "add", show, "sections",
                "-", "--replace", "--yes", NULL));
    must(run_in(TABLE, "boxcall", "add", show, "roster", "-", NULL));
    must(run_in("set,counts,tempo\n1,16,120\n2,16,120\n3,16,120\n", "boxcall", "add", show, "sets",
                "-", NULL));
    must(run("boxcall", "add", show, "clip", clip, "--label", "run", NULL));
    must(run("boxcall", "count", show, "run", "tie", "10", "1", NULL));
    must(run_in("clip,time,target,fault,severity\nrun,11,trumpets,slouch,3\nrun,20,tubas,slouch,3\n"
                "run,12,trumpets,horn angle,3\nrun,21,tubas,horn angle,3\n"
                "run,28,ensemble,phasing,3\n",
                "boxcall", "add", show, "marks", "-", NULL));
    if (!app_open(&app, show, &e) || !desk_open(&d, &app, &review_tools, &e))
        fail_msg("%s", e.text);
    return 0;
}

static int close_desk(void **state)
{
    (void)state;
    desk_close(&d);
    app_close(&app);
    return 0;
}

static void load_again(void)
{
    struct err e;
    if (!desk_reload(&d, &e))
        fail_msg("%s", e.text);
}

/* All that the screen reads of the plan. */
static const char *shown(void)
{
    struct buf text = {0};
    for (size_t i = 0; i < plan_now(&d)->kept.n_blocks; i++) {
        const struct rep_block *b = &plan_now(&d)->kept.blocks[i];
        buf_printf(&text, "%d %s|%s|%s|%d|", b->start_s, b->who, b->what, b->sets, b->reps);
        for (size_t k = 0; k < plan_now(&d)->words[i].n; k++)
            buf_printf(&text, "%s;", plan_now(&d)->words[i].fix[k]);
        buf_char(&text, '\n');
    }
    for (size_t i = 0; plan_now(&d)->draft && i < plan_now(&d)->report.plan.n_blocks; i++)
        buf_printf(&text, "%s ",
                   plan_who(&plan_now(&d)->report, plan_now(&d)->report.plan.blocks[i].group));
    const char *out = arena_strdup(test_arena(), buf_text(&text));
    buf_free(&text);
    return out;
}

static void choose(const char *who)
{
    for (size_t i = 0; i < plan_now(&d)->kept.n_blocks; i++)
        if (strcmp(plan_now(&d)->kept.blocks[i].who, who) == 0) {
            plan_now(&d)->line = i;
            return;
        }
    fail_msg("no block of %s in\n%s", who, shown());
}

static void says(const char *text)
{
    if (!strstr(d.message, text))
        fail_msg("'%s' lacks '%s'", d.message, text);
}

/* A plan of the day is stored already, so it is asked about. */
static void order_in_its_place(const char *order)
{
    desk_run(&d, order);
    assert_true(d.trouble);
    says("is stored");
    line_answer(&d, "y");
}

static const char *state_of(const char *section)
{
    const char *csv = run("boxcall", "calls", show, "run", "--as", "csv", NULL).out;
    const char *at = strstr(csv, section);
    return at && strstr(at, "repped") && strstr(at, "repped") < strchr(at, '\n') ? "repped"
                                                                                 : "open";
}

/* --- loaded again ----------------------------------------------------------------------------- */

static void the_plan_outlives_the_show_it_was_made_from(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    assert_false(d.trouble);
    const char *before = shown();
    assert_non_null(strstr(before, "trumpets: slouch (1)"));
    choose("trumpets"); /* there is a sectional */
    for (int i = 0; i < 3; i++) {
        load_again();
        assert_string_equal(shown(), before);
    }
    assert_true(plan_may_change(plan_now(&d)));
    desk_run(&d, "reps -");
    assert_false(d.trouble);
    load_again();
    desk_run(&d, "tick");
    says("done;");
    desk_run(&d, "tick"); /* and not, after all */
    load_again();
    assert_true(strlen(shown()) > 0);
}

static void a_tick_reps_whom_it_names_when_sections_changed_places(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    must(run_in(SECTIONS "tubas,brass,u\ntrumpets,brass,t\n", "boxcall", "add", show, "sections",
                "-", "--replace", "--yes", NULL));
    choose("trumpets");
    load_again();
    says("sections, faults or sets changed");
    assert_false(plan_may_change(plan_now(&d)));
    choose("trumpets");
    desk_run(&d, "tick");
    says("done; 2 marks now repped");
    assert_string_equal(state_of("trumpets"), "repped");
    assert_string_equal(state_of("tubas"), "open");
}

/* The same with nobody telling the desk: the other program writes, and at once the person acts. */
static void a_change_is_refused_when_its_positions_are_not_sure(void **state)
{
    (void)state;
    struct err e;
    desk_run(&d, "plan 20 18:00");
    must(run_in(SECTIONS "tubas,brass,u\ntrumpets,brass,t\n", "boxcall", "add", show, "sections",
                "-", "--replace", "--yes", NULL));
    assert_true(app_reload(&app, &e));
    desk_run(&d, "drop");
    assert_true(d.trouble);
    says("marks or tables changed since this plan was made");
    line_answer(&d, "n");
    says("the stored plan stays as it is");
    assert_false(plan_may_change(plan_now(&d)));
    desk_run(&d, "drop");
    line_answer(&d, "y");
    says("planned anew");
    assert_true(plan_may_change(plan_now(&d)));
}

static void a_plan_that_another_program_made_is_shown_as_it_is(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    must(run("boxcall", "plan", show, "--minutes", "5", "--start", "9:00", NULL));
    desk_run(&d, "tick");
    assert_true(d.trouble);
    says("another program made a new plan");
    must(run("boxcall", "plan", show, "--minutes", "5", "--start", "9:00", "--together", NULL));
    desk_run(&d, "drop");
    assert_true(d.trouble);
    says("another program made a new plan of the day; look again what to change");
    assert_int_equal(plan_now(&d)->kept.minutes, 5);
    assert_int_equal(plan_now(&d)->kept.start_min, 9 * 60);
    assert_true(plan_may_change(plan_now(&d))); /* it comes out the same: it is one's own now */
}

/* --- heat ------------------------------------------------------------------------------------- */

/* The row of 87.0 to 89.9 asks 16 min of rest in an hour (share/heat-policy.csv). */
static int rest_s(void)
{
    int rest = 0;
    for (size_t i = 0; i < plan_now(&d)->kept.n_blocks; i++)
        rest += plan_now(&d)->kept.blocks[i].kind == PLAN_BREAK
                    ? plan_now(&d)->kept.blocks[i].seconds
                    : 0;
    return rest;
}

static void the_heat_of_the_day_s_plan_holds_on(void **state)
{
    (void)state;
    must(
        run("boxcall", "plan", show, "--minutes", "60", "--start", "17:00", "--wbgt", "88F", NULL));
    order_in_its_place("plan 50 17:00");
    says("WBGT 88F; gain");
    assert_true(rest_s() >= 13 * 60); /* 16 x 50 / 60 */
    desk_run(&d, "list +1");
    desk_run(&d, "keep");
    desk_run(&d, "reps +");
    assert_true(rest_s() >= 13 * 60);
    assert_string_equal(plan_now(&d)->wbgt, "88F");
    order_in_its_place("plan 60 17:00 91F");
    assert_true(rest_s() >= 20 * 60);
    desk_run(&d, "plan 90 17:00");
    assert_true(d.trouble);
    says("longer than the 1 h allowed");
    assert_int_equal(plan_now(&d)->kept.minutes, 60); /* the one before stays */
    desk_run(&d, "plan 60 17:00 none");
    says("(60 min from 17:00 at WBGT 91F) is stored"); /* its heat rule does not go unasked */
    line_answer(&d, "n");
    assert_true(rest_s() >= 20 * 60);
    assert_string_equal(plan_now(&d)->wbgt, "91F");
    order_in_its_place("plan 60 17:00 none");
    assert_true(!d.trouble && rest_s() < 16 * 60);
    assert_string_equal(plan_now(&d)->wbgt, "");
}

static void a_closed_field_leaves_no_plan_on_the_desk(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    assert_non_null(plan_now(&d));
    desk_run(&d, "plan 20 18:00 95F");
    assert_true(d.trouble);
    says("NO OUTDOOR ACTIVITY at WBGT 95.0 F by the policy: the plan is taken away");
    assert_null(plan_now(&d));
    desk_run(&d, "plan 20 18:00");
    says("NO OUTDOOR ACTIVITY at WBGT 95.0 F, the day's last reading; give a newer one");
    must(run("boxcall", "plan", show, "--minutes", "20", "--wbgt", "95F", "--indoors", NULL));
    order_in_its_place("plan 15 18:00"); /* it stays one for indoors */
    assert_false(d.trouble);
    assert_int_equal(plan_now(&d)->kept.minutes, 15);
    desk_run(&d, "tick");
    desk_run(&d, "ask"); /* nothing is open yet: no form */
    desk_run(&d, "plan-form");
    desk_run(&d, "ask indoors off");
    desk_run(&d, "plan-make");
    says("NO OUTDOOR ACTIVITY");
    assert_non_null(plan_now(&d));
    must(run("boxcall", "tick", show, NULL)); /* its ticks stand */
}

/* --- in a calendar ------------------------------------------------------------------------------- */

static struct plan_day calendar_of(const char *date)
{
    struct plan_day day;
    struct err e;
    if (!app_plan_events(&app, date, test_arena(), &day, &e))
        fail_msg("%s", e.text);
    return day;
}

static void a_change_by_hand_is_a_new_version_of_the_same_events(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    const char *date = arena_strdup(test_arena(), plan_now(&d)->kept.date);
    const struct plan_day before = calendar_of(date);
    choose("trumpets");
    desk_run(&d, "reps -");
    assert_false(d.trouble);
    const struct plan_day after = calendar_of(date);
    assert_true(after.events.sequence > before.events.sequence);
    assert_string_equal(after.events.show_uuid, before.events.show_uuid);
    assert_int_equal(after.events.n_gone, 0);
    assert_int_equal(after.report.plan.n_blocks, before.report.plan.n_blocks);
    for (size_t i = 0; i < after.report.plan.n_blocks; i++) {
        char uid[2][EVENT_UID];
        const struct plan_event a = plan_event_of(&before.report, i),
                                b = plan_event_of(&after.report, i);
        plan_event_uid(before.events.show_uuid, date, &a, uid[0]);
        plan_event_uid(after.events.show_uuid, date, &b, uid[1]);
        assert_string_equal(uid[0], uid[1]);
        for (size_t k = 0; k < i; k++) {
            const struct plan_event c = plan_event_of(&after.report, k);
            plan_event_uid(after.events.show_uuid, date, &c, uid[0]);
            assert_string_not_equal(uid[0], uid[1]);
        }
    }
    desk_run(&d, "undo"); /* back as it was, which is news too */
    assert_true(calendar_of(date).events.sequence > after.events.sequence);
}

/* --- asked for again ---------------------------------------------------------------------------- */

static void plan_of_december(void)
{
    must(run("boxcall", "plan", show, "--minutes", "40", "--start", "17:30", "--date", "2026-12-01",
             "--fixed", "warm-up:5", "--fixed", "talk:5:last:rest", "--least", "3", "--with",
             "trumpets,tubas", "--wbgt", "85F", "--temp", "90F", "--humidity", "50", "--setup",
             "30", "--order", "worst-first", NULL));
}

static const struct {
    const char *field, *value;
} asked[] = {
    {"minutes", "40"},      {"start", "17:30"},
    {"date", "2026-12-01"}, {"fixed", "warm-up:5; talk:5:last:rest"},
    {"least", "3"},         {"with", "trumpets,tubas"},
    {"wbgt", "85F"},        {"temp", "90F"},
    {"humidity", "50"},     {"setup", "30"},
    {"together", ""},       {"order", "worst-first"},
};

/* Whatever a plan was made from is there again: heat, cautions, gain, how long a rep is. */
static void a_stored_plan_of_any_day_opens_with_all_it_was_made_from(void **state)
{
    (void)state;
    struct buf value = {0};
    plan_of_december();
    desk_run(&d, "plan 2026-12-01");
    assert_false(d.trouble);
    const struct desk_plan *p = plan_now(&d);
    assert_non_null(p);
    assert_true(plan_may_change(p));
    assert_string_equal(p->date, "2026-12-01");
    assert_string_equal(p->wbgt, "85F");
    assert_int_equal(p->kept.start_min, 17 * 60 + 30);
    assert_true(p->report.heat.indexed && p->report.heat.measured);
    assert_int_equal(p->report.in.n_fixed, 2);
    assert_true(p->kept.gain > 0);
    assert_non_null(strstr(p->kept.cautions, "breaks: "));
    assert_true(p->kept.blocks[2].rep_s > 0 || p->kept.blocks[1].rep_s > 0);
    assert_non_null(strstr(p->kept.cautions, "Local policy, the athletic trainer"));
    desk_run(&d, "plan-form");
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        size_t row = 0;
        while (strcmp(plan_fields[row].name, asked[i].field) != 0)
            row++;
        buf_clear(&value);
        plan_form_value(&d, row, &value);
        assert_string_equal(buf_text(&value), asked[i].value);
    }
    buf_free(&value);
}

/* Changed, undone, left and opened again: changes by hand are kept, too. */
static void a_stored_plan_is_changed_and_undone_like_a_fresh_one(void **state)
{
    (void)state;
    plan_of_december();
    desk_run(&d, "plan 2026-12-01");
    const char *before = shown();
    size_t line = 0;
    while (plan_now(&d)->kept.blocks[line].n_fixes == 0)
        line++;
    plan_now(&d)->line = line;
    const int reps = plan_now(&d)->kept.blocks[line].reps;
    desk_run(&d, "reps -");
    assert_false(d.trouble);
    assert_int_equal(plan_now(&d)->kept.blocks[plan_now(&d)->line].reps, reps - 1);
    assert_string_not_equal(shown(), before);
    const char *changed = shown();
    desk_run(&d, "plan 2026-12-01"); /* as it is stored */
    assert_string_equal(shown(), changed);
    assert_true(plan_now(&d)->kept.blocks[line].kept);
    assert_true(plan_may_change(plan_now(&d)));
    plan_now(&d)->line = line;
    desk_run(&d, "keep"); /* let go again */
    assert_string_equal(shown(), before);
    desk_run(&d, "drop");
    desk_run(&d, "undo");
    assert_string_equal(shown(), before);
}

/* What is carried to the field is the plan with its changes. */
static void a_plan_changed_by_hand_is_printed_as_it_is_stored(void **state)
{
    (void)state;
    const char *as_made = run("boxcall", "plan", show, "--minutes", "20", NULL).out;
    const char *as_stored = run("boxcall", "plan", show, NULL).out;
    const size_t blocks = (size_t)(strstr(as_made, "\nGain") - as_made);
    assert_true(blocks > 100);
    assert_int_equal(strncmp(as_made, as_stored, blocks), 0);
    assert_non_null(strstr(as_stored, "No reps are ticked yet"));
    desk_run(&d, "plan");
    choose("trumpets");
    const int reps = plan_now(&d)->kept.blocks[plan_now(&d)->line].reps;
    desk_run(&d, "reps -");
    assert_false(d.trouble);
    const char *text = run("boxcall", "plan", show, NULL).out;
    char line[60];
    snprintf(line, sizeof line, "trumpets: 1 (16 at 120) ×%d, kept", reps - 1);
    if (!strstr(text, line))
        fail_msg("no '%s' in\n%s", line, text);
    /* Nor is it lost to a script. */
    const struct run script = run("boxcall", "plan", show, "--minutes", "20", NULL);
    assert_exit(script, 3);
    assert_non_null(strstr(script.err, "was changed by hand; say --replace to put this one in"));
    assert_string_equal(run("boxcall", "plan", show, NULL).out, text);
    desk_run(&d, "tick");
    text = run("boxcall", "plan", show, "--for", "trumpets", NULL).out;
    assert_non_null(strstr(text, "slouch (1) 0:11.0"));
    const struct run none = run("boxcall", "plan", show, "--date", "2026-01-01", NULL);
    assert_exit(none, 2);
    assert_non_null(strstr(none.err, "give --minutes"));
}

/* A plan is no step: with one press too many the marks that were read in before it would go. */
static void undo_behind_a_plan_names_the_step_below_it_first(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    const char *day = plan_now(&d)->date;
    desk_run(&d, "review");
    const size_t marks = strlen(run("boxcall", "calls", show, "run", "--as", "csv", NULL).out);
    desk_run(&d, "undo");
    says(arena_printf(test_arena(),
                      "the plan of %s was stored since, and undo takes no plan back; "
                      "once more takes back the step before: add marks",
                      day));
    assert_int_equal(strlen(run("boxcall", "calls", show, "run", "--as", "csv", NULL).out), marks);
    desk_run(&d, "undo");
    says("taken back: add marks");
    assert_true(strlen(run("boxcall", "calls", show, "run", "--as", "csv", NULL).out) < marks);
    desk_run(&d, "redo");
    says("done again: add marks");
}

/* The form changes one thing and leaves the rest; a stored plan goes only when that was said. */
static void the_form_plans_any_day(void **state)
{
    (void)state;
    plan_of_december();
    desk_run(&d, "plan 2026-12-01");
    desk_run(&d, "plan-form");
    desk_run(&d, "ask minutes 45");
    desk_run(&d, "ask fixed warm-up:8; talk:5:last:rest");
    desk_run(&d, "plan-make");
    says("the plan of 2026-12-01 (40 min from 17:30 at WBGT 85F) is stored");
    line_answer(&d, "");
    says("the stored plan stays as it is");
    assert_int_equal(plan_now(&d)->kept.minutes, 40);
    desk_run(&d, "plan-make");
    line_answer(&d, "y");
    assert_false(d.trouble);
    assert_int_equal(plan_now(&d)->kept.minutes, 45);
    assert_int_equal(plan_now(&d)->kept.blocks[0].seconds, 8 * 60);
    desk_run(&d, "ask date 2026-12-08"); /* another day has none: nothing to ask about */
    desk_run(&d, "plan-make");
    assert_false(d.trouble);
    assert_string_equal(plan_now(&d)->date, "2026-12-08");
    desk_run(&d, "ask minutes many");
    desk_run(&d, "plan-make");
    assert_true(d.trouble);
    says("'many' is not a whole number from 1 to 720");
    desk_run(&d, "ask colour red");
    says("no field of the plan's form");
    desk_run(&d, "plan 2026-12-01");
    assert_int_equal(plan_now(&d)->kept.minutes, 45);
}

static void a_block_is_not_moved_beyond_the_ends(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    choose("trumpets"); /* a list of one */
    const char *before = shown();
    desk_run(&d, "shift +");
    assert_true(d.trouble);
    says("it is the last already");
    desk_run(&d, "shift -");
    says("it is the first already");
    assert_string_equal(shown(), before); /* nor kept by that */
}

static void a_tick_taken_back_says_what_is_open_again(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    choose("trumpets");
    desk_run(&d, "tick");
    says("done; 2 marks now repped: trumpets: slouch (1), trumpets: horn angle (1)");
    desk_run(&d, "tick");
    says("not done after all; 2 marks are open again: trumpets: slouch (1), trumpets: horn");
}

/* What is ticked off stays stored, and what is left is planned beside it. */
static void a_change_of_a_ticked_plan_plans_what_is_left(void **state)
{
    (void)state;
    desk_run(&d, "plan 20 18:00");
    choose("trumpets");
    desk_run(&d, "tick");
    desk_run(&d, "reps +");
    assert_true(d.trouble);
    says("blocks of this plan are ticked off; it stays stored");
    line_answer(&d, "y");
    says("planned anew");
    assert_true(plan_may_change(plan_now(&d)));
    assert_string_equal(state_of("trumpets"), "repped");
}

static void what_is_no_order_of_a_plan_is_refused_in_words(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"plan x", "write the minutes"},
        {"plan 0", "write the minutes"},
        {"plan 99999999999999999999", "write the minutes"},
        {"plan 90 25:00", "no time of day"},
        {"plan 90 18:00 hot", "neither a start nor a reading"},
        {"plan 90 18:00 34", "neither a start nor a reading"},
        {"plan 90 18:00 400F", "neither a start nor a reading"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        desk_run(&d, rows[i][0]);
        assert_true(d.trouble);
        says(rows[i][1]);
    }
    desk_run(&d, "plan 20 18:00");
    desk_run(&d, "tick many");
    says("not a number of reps");
    desk_run(&d, "tick 99999999999");
    says("not a number of reps");
}

#define ON_A_DESK(test) cmocka_unit_test_setup_teardown(test, open_desk, close_desk)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ON_A_DESK(the_plan_outlives_the_show_it_was_made_from),
        ON_A_DESK(a_tick_reps_whom_it_names_when_sections_changed_places),
        ON_A_DESK(a_change_is_refused_when_its_positions_are_not_sure),
        ON_A_DESK(a_plan_that_another_program_made_is_shown_as_it_is),
        ON_A_DESK(the_heat_of_the_day_s_plan_holds_on),
        ON_A_DESK(a_closed_field_leaves_no_plan_on_the_desk),
        ON_A_DESK(a_change_by_hand_is_a_new_version_of_the_same_events),
        ON_A_DESK(a_stored_plan_of_any_day_opens_with_all_it_was_made_from),
        ON_A_DESK(undo_behind_a_plan_names_the_step_below_it_first),
        ON_A_DESK(a_stored_plan_is_changed_and_undone_like_a_fresh_one),
        ON_A_DESK(a_plan_changed_by_hand_is_printed_as_it_is_stored),
        ON_A_DESK(the_form_plans_any_day),
        ON_A_DESK(a_block_is_not_moved_beyond_the_ends),
        ON_A_DESK(a_tick_taken_back_says_what_is_open_again),
        ON_A_DESK(a_change_of_a_ticked_plan_plans_what_is_left),
        ON_A_DESK(what_is_no_order_of_a_plan_is_refused_in_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
