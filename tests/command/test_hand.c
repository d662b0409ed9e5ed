/* What a hand at the desk means: which mark, which moment, which line; without a terminal. The state
 * of the player is written down where only what the desk makes of it is meant. */
#include <string.h>

#include "command/calls.h"
#include "command/chord.h"
#include "command/fixes.h"
#include "command/line.h"
#include "command/playing.h"
#include "command/run.h"
#include "command/screen.h"
#include "command/stage.h"
#include "command/tap.h"
#include "command/watch.h"
#include "lib/cases.h"
#include "lib/run.h"
#include "screen/draw.h"

static struct app app;
static struct desk d;

static void begin(void)
{
    stage_open(&d, &app);
}

static void end(void)
{
    stage_close(&d, &app);
}

static void at(int64_t us)
{
    go_to(&d, us);
    stage_settle(&d);
}

static int64_t mark(const char *words)
{
    desk_run(&d, arena_printf(test_arena(), "mark %s", words));
    if (d.trouble)
        fail_msg("%s", d.message);
    return d.newest;
}

/* --- which mark -------------------------------------------------------------------------------- */

static void marks_of_one_moment_are_stepped_through_in_the_order_they_were_made(void **state)
{
    (void)state;
    begin();
    at(5000000);
    int64_t made[3] = {mark("T1 slouch"), mark("T2 slouch"), mark("M1 slouch")};
    assert_int_equal(desk_mark(&d, made[0])->at_us, desk_mark(&d, made[2])->at_us);
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(calls_nth(&d, i).id, made[i]);
    assert_int_equal(calls_here(&d), 2); /* the last at or before the playhead */
    d.selected = made[2];
    for (size_t i = 2; i-- > 0;) {
        desk_run(&d, "call prev");
        assert_int_equal(d.selected, made[i]);
    }
    desk_run(&d, "call prev");
    assert_string_equal(d.message, "no call before this");
    for (size_t i = 1; i < 3; i++) {
        desk_run(&d, "call next");
        assert_int_equal(d.selected, made[i]);
    }
    desk_run(&d, "call next");
    assert_string_equal(d.message, "no call after this");
    assert_int_equal(d.selected, made[2]);
    end();
}

static void before_the_first_mark_there_is_none_at_the_playhead(void **state)
{
    (void)state;
    begin();
    at(5000000);
    mark("T1 slouch");
    at(1000000);
    assert_int_equal(calls_here(&d), calls_shown(&d));
    end();
}

static void what_is_said_is_about_the_chosen_mark_else_the_newest(void **state)
{
    (void)state;
    begin();
    int64_t first = mark("T1 slouch"), newest = mark("T2 slouch");
    desk_run(&d, "severity 2");
    assert_int_equal(desk_mark(&d, newest)->severity, 2);
    d.selected = first;
    desk_run(&d, "severity 3");
    assert_int_equal(desk_mark(&d, first)->severity, 3);
    assert_int_equal(desk_mark(&d, newest)->severity, 2);
    int64_t last = mark("M1 slouch"); /* and nothing is chosen any more */
    assert_int_equal(d.selected, 0);
    desk_run(&d, "note bells up");
    assert_string_equal(desk_mark(&d, last)->note, "bells up");
    assert_string_equal(desk_mark(&d, first)->note, "");
    end();
}

/* --- which moment ------------------------------------------------------------------------------ */

static void nobody_goes_beyond_the_ends_of_the_clip(void **state)
{
    (void)state;
    begin();
    go_to(&d, -5);
    assert_int_equal(d.play.at_us, 0);
    go_to(&d, d.play.length_us + 5000000);
    assert_int_equal(d.play.at_us, d.play.length_us);
    end();
}

/* The reaction lead never leads out of a loop that began again. */
static void a_mark_stays_within_the_loop_it_was_seen_in(void **state)
{
    (void)state;
    int64_t seen;
    begin();
    d.play.playing = true;
    d.play.loop_a_us = 4000000;
    d.play.loop_b_us = 6000000;
    d.play.at_us = 4100000;
    d.began_us = 1000000; /* before the loop was set */
    d.lead_ms = 600;
    assert_true(seen_at(&d, &seen));
    assert_in_range(seen, 4000000, 4034000);
    end();
}

static void a_hand_that_is_late_on_the_beat_is_put_back(void **state)
{
    (void)state;
    begin();
    d.tap_bias_us = 60000; /* late */
    d.play.playing = true;
    d.play.at_us = 3000000;
    desk_run(&d, "tap");
    d.play.at_us = 3500000;
    d.play.speed = 0.5;   /* the clip moves half as far meanwhile */
    desk_run(&d, "play"); /* while taps are open the key that plays taps */
    const struct taps *t = taps_open(&d);
    assert_int_equal(t->n, 2);
    assert_int_equal(t->at_us[0], 2940000);
    assert_int_equal(t->at_us[1], 3470000);
    desk_run(&d, "back");
    assert_null(taps_open(&d));
    d.play.speed = 1;
    d.play.at_us = 5000000;
    desk_run(&d, "tie 1.1");
    assert_int_equal(d.ties.n, 1);
    assert_in_range(d.ties.at[0].at_us, 4940000 - 17000, 4940000 + 17000);
    assert_int_equal(d.ties.at[0].error_us, 100000); /* of a hand on a playing clip */
    end();
}

/* 100 m at 20 C: 331.3 sqrt(293.15 / 273.15) = 343.2 m/s (ISO 9613-1), 291.4 ms. */
static void taps_by_ear_are_put_back_for_the_way_of_the_sound(void **state)
{
    (void)state;
    begin();
    desk_run(&d, "tap 100m 20C");
    assert_null(taps_open(&d)); /* said before the first tap */
    assert_non_null(strstr(d.message, "by ear, 100 m away: each is put back by 291 ms"));
    d.play.playing = true;
    d.play.at_us = 3000000;
    desk_run(&d, "tap");
    assert_in_range(taps_open(&d)->at_us[0], 3000000 - 291500, 3000000 - 291300);
    desk_run(&d, "back");
    desk_run(&d, "tap 100");
    assert_non_null(strstr(d.message, "in which unit?"));
    desk_run(&d, "tap eye");
    desk_run(&d, "tap");
    assert_int_equal(taps_open(&d)->at_us[0], 3000000);
    end();
}

/* At a tie in the middle of a set the one behind it is offered, as just before and just after. */
static void at_a_tie_the_set_behind_it_is_offered(void **state)
{
    (void)state;
    begin();
    at(6000000);
    desk_run(&d, "tie 1.9");
    assert_int_equal(d.ties.at[0].at_us, d.play.at_us);
    desk_run(&d, "tie ?");
    assert_string_equal(line_offered(&d), "2.1");
    end();
}

/* A tie is never lost under another. */
static void a_tie_is_not_moved_onto_another(void **state)
{
    (void)state;
    begin();
    at(10000000);
    desk_run(&d, "tie 2.1");
    const int64_t second_us = d.ties.at[0].at_us;
    go_to(&d, second_us - 4000000);
    stage_settle(&d);
    desk_run(&d, "tie 1.9");
    assert_int_equal(d.ties.n, 2);
    const int64_t first_us = d.ties.at[0].at_us;
    desk_run(&d, arena_printf(test_arena(), "tie-move +%lld",
                              (long long)(second_us - first_us) * 30 / 1000000));
    assert_contains(d.message, "there is a tie to set 2 already");
    assert_int_equal(d.ties.n, 2);
    assert_int_equal(d.ties.at[0].at_us, first_us);
    end();
}

/* --- the rail ---------------------------------------------------------------------------------- */

static void the_rail_has_no_bare_rows_while_there_are_sets_above(void **state)
{
    (void)state;
    const struct rect rail = {0, 0, 1 + 3, 30}; /* a heading, and a row for each set */
    begin();
    at(1000000);
    desk_run(&d, "tie 1.1");
    at(16000000); /* in the last of them */
    int64_t first = rail_time(&d, rail, 1), last = rail_time(&d, rail, 3);
    assert_true(first >= 0 && first <= 1000000);
    assert_in_range(last, 12000000, 14000000);
    end();
}

/* --- what was watched -------------------------------------------------------------------------- */

static int64_t stored_us(void)
{
    struct arena mem = {0};
    struct stretch_list l;
    struct err e;
    int64_t sum = 0;
    assert_true(store_watched(app.store, &mem, d.clip, &l, &e));
    for (size_t i = 0; i < l.n; i++)
        sum += l.at[i].to_us - l.at[i].from_us;
    arena_free(&mem);
    return sum;
}

static void watch(double speed, int64_t from_us, int64_t to_us)
{
    d.play.playing = true;
    d.play.speed = speed;
    for (d.play.at_us = from_us; d.play.at_us <= to_us; d.play.at_us += 500000)
        watch_follow(&d);
}

static void what_is_watched_is_stored_now_and_then_and_at_the_end(void **state)
{
    (void)state;
    begin();
    watch(1, 0, 9500000);
    assert_int_equal(stored_us(), 0);
    watch(1, 10000000, 12000000);
    assert_in_range(stored_us(), 10000000, 12000000); /* a crash would lose two seconds */
    d.play.playing = false;
    watch_follow(&d);
    assert_int_equal(stored_us(), 12000000);
    watch(2, 13000000, 15000000); /* at twice the speed one still sees */
    watch_end(&d);
    assert_int_equal(stored_us(), 14000000);
    watch(2.5, 15500000, 19000000);
    watch_end(&d);
    assert_int_equal(stored_us(), 14000000);
    end();
}

/* --- which line -------------------------------------------------------------------------------- */

static void choose_line(bool praise)
{
    const struct report_part *p;
    for (size_t i = 0; i < fixes_lines(&d); i++)
        if (fixes_item(&d, i, &p)->praise == praise && p == &fixes_now(&d)->report.own) {
            fixes_choose(&d, i, 0);
            return;
        }
    fail_msg("no such line");
}

static void praise_is_told_apart_from_its_fault(void **state)
{
    (void)state;
    const struct report_moment *m;
    begin();
    int64_t fault = mark("T1 slouch"), keep = mark("T2 slouch");
    desk_run(&d, "praise");
    desk_run(&d, "fixes");
    choose_line(false);
    assert_int_equal(fixes_moments(&d, &m), 1);
    assert_int_equal(m->mark, fault);
    choose_line(true);
    assert_int_equal(fixes_moments(&d, &m), 1);
    assert_int_equal(m->mark, keep);
    end();
}

static void a_performers_list_changes_that_performers_marks(void **state)
{
    (void)state;
    begin();
    int64_t mine = mark("T1 slouch"), theirs = mark("T2 slouch");
    desk_run(&d, "fixes T1");
    choose_line(false);
    desk_run(&d, "state repped");
    assert_false(d.trouble);
    assert_int_equal(desk_mark(&d, mine)->state, MARK_REPPED);
    assert_int_equal(desk_mark(&d, theirs)->state, MARK_OPEN);
    desk_run(&d, "review");
    desk_run(&d, "state clean"); /* no line is chosen on another screen */
    assert_true(d.trouble);
    assert_int_equal(desk_mark(&d, mine)->state, MARK_REPPED);
    end();
}

/* --- who takes the keys ------------------------------------------------------------------------- */

static void a_chord_is_dropped_when_another_screen_comes(void **state)
{
    (void)state;
    begin();
    desk_key(&d, "t");
    assert_true(chord_open(&d));
    desk_run(&d, "clips");
    assert_false(chord_open(&d));
    assert_string_equal(d.message, "the chord t was dropped");
    desk_run(&d, "review");
    desk_key(&d, "k"); /* begins anew, and is no fault behind the t */
    assert_int_equal(calls_all(&d), 0);
    end();
}

/* A show file from elsewhere may have a key that begins another, which Enter completes. */
static void enter_completes_a_chord_only_once_a_refused_number_is_taken_back(void **state)
{
    (void)state;
    begin();
    app.show.faults[0].key = "y";
    app.show.faults[1].key = "yu";
    desk_key(&d, "t");
    desk_key(&d, "y");
    desk_key(&d, "9");
    desk_key(&d, "Enter");
    assert_int_equal(calls_all(&d), 0);
    assert_string_equal(chord_hand(&d)->typed, "ty");
    desk_key(&d, "Backspace");
    desk_key(&d, "Enter");
    assert_int_equal(calls_all(&d), 1);
    assert_int_equal(desk_mark(&d, d.newest)->fault, 0);
    end();
}

static void pasted_text_goes_into_a_line_and_nowhere_else(void **state)
{
    (void)state;
    begin();
    desk_paste(&d, "t");
    assert_true(d.trouble);
    assert_false(chord_open(&d));
    desk_key(&d, "t");
    desk_paste(&d, "k"); /* nor into a chord */
    assert_string_equal(chord_hand(&d)->typed, "t");
    desk_key(&d, "Esc");
    mark("T1 slouch");
    desk_run(&d, "note");
    desk_paste(&d, "a");
    desk_paste(&d, "Enter"); /* a pasted line end is a blank, and ends nothing */
    desk_paste(&d, "b");
    assert_string_equal(line_typed(&d)->text, "a b");
    desk_key(&d, "Enter");
    assert_string_equal(desk_mark(&d, d.newest)->note, "a b");
    end();
}

static void undo_names_a_table_before_it_takes_it_back(void **state)
{
    (void)state;
    begin();
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    struct run r =
        run_in("set,counts,tempo\n4,8,120\n", "boxcall", "add", stage_show(), "sets", "-", NULL);
    assert_exit(r, 0);
    stage_settle(&d);
    mark("T1 slouch");
    desk_run(&d, "undo");
    assert_int_equal(calls_all(&d), 0);
    desk_run(&d, "undo");
    assert_contains(d.message, "once more takes the table back");
    assert_int_equal(app.show.n_sets, 4);
    desk_run(&d, "undo");
    assert_int_equal(app.show.n_sets, 3);
    end();
}

/* What stands at the foot hides the keys of the screen that was opened. */
static void what_was_said_stays_with_its_screen_but_trouble_is_carried_along(void **state)
{
    (void)state;
    begin();
    desk_say(&d, "done");
    desk_run(&d, "review");
    assert_string_equal(d.message, "done"); /* it is this screen's */
    desk_run(&d, "clips");
    assert_string_equal(d.screen->open.name, "clips");
    assert_string_equal(d.message, "");
    desk_trouble(&d, "not stored");
    desk_run(&d, "review");
    assert_string_equal(d.message, "not stored");
    end();
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, marks_of_one_moment_are_stepped_through_in_the_order_they_were_made);
    case_test(&all, before_the_first_mark_there_is_none_at_the_playhead);
    case_test(&all, what_is_said_is_about_the_chosen_mark_else_the_newest);
    case_test(&all, nobody_goes_beyond_the_ends_of_the_clip);
    case_test(&all, a_mark_stays_within_the_loop_it_was_seen_in);
    case_test(&all, a_hand_that_is_late_on_the_beat_is_put_back);
    case_test(&all, taps_by_ear_are_put_back_for_the_way_of_the_sound);
    case_test(&all, at_a_tie_the_set_behind_it_is_offered);
    case_test(&all, a_tie_is_not_moved_onto_another);
    case_test(&all, the_rail_has_no_bare_rows_while_there_are_sets_above);
    case_test(&all, what_is_watched_is_stored_now_and_then_and_at_the_end);
    case_test(&all, praise_is_told_apart_from_its_fault);
    case_test(&all, a_performers_list_changes_that_performers_marks);
    case_test(&all, a_chord_is_dropped_when_another_screen_comes);
    case_test(&all, enter_completes_a_chord_only_once_a_refused_number_is_taken_back);
    case_test(&all, pasted_text_goes_into_a_line_and_nowhere_else);
    case_test(&all, what_was_said_stays_with_its_screen_but_trouble_is_carried_along);
    case_test(&all, undo_names_a_table_before_it_takes_it_back);
    return cases_run(&all, "what a hand means");
}
