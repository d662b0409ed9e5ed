/* The show file and the clip's file moving under the review, and tables that change meanwhile. */
#include <stdio.h>
#include <unistd.h>

#include "review/stage.h"

static const char *copy_of(const struct stage *s)
{
    return path_in(s->dir, "copy.show");
}

static void the_show_is_moved_away_and_the_review_goes_on_in_a_copy(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t 1 h");
    term_wait_row(s.t, -1, "T1, horn angle");
    assert_int_equal(rename(s.show, path_in(s.dir, "moved.show")), 0);
    term_wait_text(s.t, "larkspur.show was deleted or renamed while it was open");
    term_keys(s.t, "t 2 h");
    term_wait_text(s.t, "NOT SAVED: ");
    term_wait_text(s.t, ":copy FILE saves a copy");
    term_wait_row(s.t, 0, "1 mark");
    stage_line(&s, arena_printf(test_arena(), "copy %s", copy_of(&s)));
    term_wait_text(s.t, "the review goes on in");
    term_keys(s.t, "t 3 h");
    term_wait_row(s.t, -1, "T3, horn angle");
    term_wait_row(s.t, 0, "2 marks");
    stage_quit(&s);
    s.show = copy_of(&s);
    struct call rows[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "run", rows), 2);
    assert_string_equal(rows[0].who, "T1");
    assert_string_equal(rows[1].who, "T3");
}

static void leaving_a_show_that_is_lost_is_asked_first_and_the_shell_is_told(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t 1 h");
    term_wait_row(s.t, -1, "T1, horn angle");
    assert_int_equal(rename(s.show, path_in(s.dir, "moved.show")), 0);
    term_wait_text(s.t, "larkspur.show was deleted or renamed while it was open");
    term_keys(s.t, "Ctrl-q");
    term_wait_text(s.t, ":copy FILE saves the newest marks; once more leaves without them");
    term_keys(s.t, "Ctrl-q");
    assert_int_equal(term_wait_exit(s.t), 1);
    stage_close(&s);
}

static void a_copy_of_a_show_that_stays_is_a_copy_and_no_more(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t 1 h");
    term_wait_row(s.t, -1, "T1, horn angle");
    stage_line(&s, arena_printf(test_arena(), "copy %s", copy_of(&s)));
    term_wait_row(s.t, -1, "a whole copy of the show");
    stage_line(&s, arena_printf(test_arena(), "copy %s", copy_of(&s)));
    term_wait_text(s.t, "copy.show: is there already; choose");
    term_keys(s.t, "t 2 h");
    term_wait_row(s.t, 0, "2 marks");
    stage_quit(&s);
    struct call rows[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "run", rows), 2);
    s.show = copy_of(&s);
    assert_int_equal(stage_calls(&s, "run", rows), 1);
}

static void without_the_clips_file_the_lists_and_the_plan_are_there(void **state)
{
    (void)state;
    struct stage s = stage_new();
    const char *clip = path_in(s.dir, "gone.mp4");
    size_t n;
    const char *bytes = read_file(clip_stands(), &n);
    write_bytes(s.dir, "gone.mp4", bytes, n);
    must(run("boxcall", "add", s.show, "clip", clip, "--label", "gone", NULL));
    must(run("boxcall", "mark", s.show, "gone", "1", "T4", "h", NULL));
    assert_int_equal(unlink(clip), 0);
    stage_start(&s, NULL, "gone");
    term_wait_text(s.t, "the clip 'gone' is not there any more");
    term_keys(s.t, "F2");
    term_wait_text(s.t, "T4 ×1");
    term_wait_text(s.t, "the file of 'gone' is not here");
    term_keys(s.t, "F5");
    term_wait_row(s.t, -1, "minutes and start:");
    term_keys(s.t, "Esc F3");
    term_wait_text(s.t, "(no file) Ana");
    term_keys(s.t, "Ctrl-q");
    assert_int_equal(term_wait_exit(s.t), 0);
    term_assert_restored(s.t);
    stage_close(&s);
}

/* --- tables that change ----------------------------------------------------------------------- */

static void add(const struct stage *s, const char *table, const char *text, const char *how,
                const char *sure)
{
    must(run_in(text, "boxcall", "add", s->show, table, "-", how, sure, NULL));
}

static void the_list_of_a_performer_who_leaves_turns_to_everybodys(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_line(&s, "fixes T3");
    term_wait_row(s.t, 0, "fix list: T3");
    add(&s, "roster", "performer,name,section\nU1,Max Dale,tubas\n", "--replace", "--yes");
    term_wait_row(s.t, 0, "fix list: ensemble");
    term_wait_row(s.t, -1, "T3 is not in the show any more; this is everybody's list");
    stage_quit(&s);
}

static void a_row_being_measured_names_whom_it_named_when_the_roster_changes(void **state)
{
    (void)state;
    struct stage s = stage_new();
    add(&s, "faults", "fault,family,key\nripple,timing,jr\n", NULL, NULL);
    must(run("boxcall", "count", s.show, "run", "tie", "0", "1", NULL));
    stage_open(&s, NULL, NULL);
    stage_go(&s, 60);
    term_keys(s.t, "t 7 .");
    term_wait_row(s.t, -1, "ripple: 1 seen");
    stage_go(&s, 66);
    term_keys(s.t, "t 8 .");
    term_wait_row(s.t, -1, "ripple: 2 seen");
    stage_go(&s, 72);
    term_keys(s.t, "m 1 .");
    term_wait_row(s.t, -1, "ripple: 3 seen");
    add(&s, "roster",
        "performer,name,section\nM3,Kit Birch,mellophones\nT8,Hal Wick,trumpets\n"
        "M1,Ida Yarrow,mellophones\nM6,New,mellophones\nT7,Gus Vale,trumpets\n",
        "--replace", "--yes");
    stage_mark(&s, "1", "M3", "h"); /* seen: then the roster was read, too */
    stage_wait_call(&s, "0:01.0", "M3", NULL);
    term_keys(s.t, "Enter");
    term_wait_text(s.t, "first T7, last M1");
    stage_quit(&s);
    assert_string_equal(stage_newest_call(&s).who, "T7,T8,M1");
}

static void a_set_table_that_changes_under_the_review_moves_its_rail(void **state)
{
    (void)state;
    struct stage s = stage_new();
    must(run("boxcall", "count", s.show, "run", "tie", "0", "1", NULL));
    stage_open(&s, NULL, NULL);
    term_wait_row(s.t, 1, "set  count  bpm");
    add(&s, "sets", "set,counts,tempo,name\n1,4,120,opener\n2,8,120,wedge\n", "--replace", "--yes");
    term_wait_row(s.t, 2, "/4");
    term_keys(s.t, "t 1 h");
    term_wait_row(s.t, -1, "set 1, count 1 of 4");
    stage_quit(&s);
}

static void a_note_of_another_that_is_replaced_is_said(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t 1 h");
    term_wait_row(s.t, -1, "T1, horn angle");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "note:");
    must(run_in("clip,time,target,fault,note\nrun,0,T1,horn angle,knees\n", "boxcall", "add",
                s.show, "marks", "-", NULL));
    term_type(s.t, "mine");
    term_keys(s.t, "Enter");
    term_wait_text(s.t, "in place of 'knees'");
    stage_quit(&s);
    assert_string_equal(stage_only_call(&s).note, "mine");
}

static void a_chord_whose_keys_mean_others_now_is_dropped(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t");
    term_wait_row(s.t, -1, "chord: t");
    add(&s, "sections",
        "section,parent,key\nensemble,,e\nflutes,ensemble,t\ntrumpets,ensemble,f\n"
        "mellophones,ensemble,m\ntubas,ensemble,u\n",
        "--replace", "--yes");
    term_wait_row(s.t, -1, "the keys changed while a chord was typed; type it again");
    stage_quit(&s);
    struct call rows[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "run", rows), 0);
}

/* --- ties that part the run --------------------------------------------------------------------
 */

static void a_tie_that_contradicts_the_others_is_asked_about(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_line(&s, "tie 1.1");
    term_wait_row(s.t, -1, "tie 0:00.000 to set 1");
    stage_go(&s, 540); /* 18 s; set 2 is written for 8 s */
    stage_line(&s, "tie 2.1");
    term_wait_row(s.t, -1, "a new run of the drill? y/n:");
    term_keys(s.t, "Enter"); /* n stands there */
    term_wait_row(s.t, -1, "not tied");
    stage_line(&s, "tie 2.1");
    term_wait_row(s.t, -1, "a new run of the drill? y/n:");
    term_keys(s.t, "Esc");
    term_wait_row(s.t, -1, "not tied");
    stage_line(&s, "tie 2.1");
    term_wait_row(s.t, -1, "a new run of the drill? y/n:");
    term_type(s.t, "y");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "tie 0:18.000 to set 2");
    stage_quit(&s);
    struct run r = run("boxcall", "count", s.show, "run", "ties", NULL);
    assert_exit(r, 0);
    assert_non_null(strstr(r.out, "0:18.000"));
}

/* --- one's own tables --------------------------------------------------------------------------
 */

static void one_press_too_many_does_not_take_the_roster_back(void **state)
{
    (void)state;
    struct stage s = stage_new();
    add(&s, "roster", "performer,name,section\nT9,New One,trumpets\n", NULL, NULL);
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t 9 h");
    term_wait_row(s.t, -1, "T9, horn angle");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "the step before is 'add roster'; once more takes the table back");
    term_keys(s.t, "t 9 h"); /* it was not */
    term_wait_row(s.t, -1, "T9, horn angle");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
    term_keys(s.t, "Ctrl-z Ctrl-z");
    term_wait_row(s.t, -1, "taken back: add roster");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_show_is_moved_away_and_the_review_goes_on_in_a_copy);
    case_test(&all, leaving_a_show_that_is_lost_is_asked_first_and_the_shell_is_told);
    case_test(&all, a_copy_of_a_show_that_stays_is_a_copy_and_no_more);
    case_test(&all, without_the_clips_file_the_lists_and_the_plan_are_there);
    case_test(&all, the_list_of_a_performer_who_leaves_turns_to_everybodys);
    case_test(&all, a_row_being_measured_names_whom_it_named_when_the_roster_changes);
    case_test(&all, a_set_table_that_changes_under_the_review_moves_its_rail);
    case_test(&all, a_note_of_another_that_is_replaced_is_said);
    case_test(&all, a_chord_whose_keys_mean_others_now_is_dropped);
    case_test(&all, a_tie_that_contradicts_the_others_is_asked_about);
    case_test(&all, one_press_too_many_does_not_take_the_roster_back);
    return cases_run(&all, "files and tables under the review");
}
