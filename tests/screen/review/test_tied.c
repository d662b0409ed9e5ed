/* A clip tied to the drill: the rail becomes the drill, and moving goes by counts and sets.
 *
 * Set 1 has 16 counts at 120 beats a minute: tied to 0:03 it lasts until 0:11, set 2 (8 counts)
 * until 0:15, set 3 (16 counts) past the end of the clip. */
#include "review/stage.h"

static struct stage s;

static int open_stage(void **state)
{
    (void)state;
    s = stage_new();
    stage_mark(&s, "12", "T1", "h");
    stage_open(&s, NULL, NULL);
    stage_go(&s, 90);
    term_keys(s.t, ";");
    term_wait_row(s.t, -1, "tie 0:03.000 to set 1, count 1");
    return 0;
}

static int close_stage(void **state)
{
    (void)state;
    stage_quit(&s);
    return 0;
}

static const struct row {
    const char *name;
    long from;
    const char *keys, *line;
    long to;
    const char *place; /* on the transport line */
} rows[] = {
    {"right goes on by a count", 90, "Right", NULL, 105, "set 1 2/16"},
    {"left goes back by a count", 105, "Left", NULL, 90, "set 1 1/16"},
    {"counts pressed fast add up", 90, "Right Right Right", NULL, 135, "set 1 4/16"},
    {"a count at the end of a set goes into the next", 315, "Right", NULL, 330, "set 2 1/8"},
    {"page down goes to the next set", 90, "PageDown", NULL, 330, "set 2 1/8"},
    {"page down twice goes to the set after it", 90, "PageDown PageDown", NULL, 450, "set 3 1/16"},
    {"page up goes to the set before", 450, "PageUp", NULL, 330, "set 2 1/8"},
    {"page up within a set goes to its beginning", 400, "PageUp", NULL, 330, "set 2 1/8"},
    {"a set and count in a line", 90, NULL, "1.5", 150, "set 1 5/16"},
    {"a set alone is its count 1", 90, NULL, "set 3", 450, "set 3 1/16"},
    {"a set and count of a later set", 90, NULL, "2.5", 390, "set 2 5/8"},
    {"counts from here", 90, NULL, "+16 counts", 330, "set 2 1/8"},
    {"counts back from here", 330, NULL, "-4 counts", 270, "set 1 13/16"},
    {"seek takes the same numbers as seconds", 90, NULL, "seek 2.5", 75, NULL},
};

static void a_number_that_no_set_has_is_seconds_and_that_is_said(void **state)
{
    (void)state;
    stage_line(&s, "14");
    stage_wait_frame(&s, 14 * 30);
    term_wait_row(s.t, -1, "no set '14': taken as 14 seconds");
}

static void by_drill(void **state)
{
    const struct row *r = *state;
    stage_calm(&s);
    stage_go(&s, r->from);
    if (r->keys)
        term_keys(s.t, r->keys);
    else
        stage_line(&s, r->line);
    stage_wait_frame(&s, r->to);
    if (r->place)
        term_wait_row(s.t, stage_transport(&s), r->place);
}

static void refused(const char *line, const char *said)
{
    stage_calm(&s);
    stage_go(&s, 90);
    stage_line(&s, line);
    term_wait_text(s.t, said);
    stage_wait_frame(&s, 90);
}

static void counts_that_are_not_there_are_refused(void **state)
{
    (void)state;
    refused("2.9", "set 2 has 8 counts");
    refused("set 9", "9");
    refused("3.16", "nowhere in this clip");
    refused("-5 counts", "outside what is played here");
}

static void the_rail_shows_sets_counts_and_tempo(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 150);
    term_wait_row(s.t, 1, "set");
    term_wait_row(s.t, 1, "count");
    term_wait_row(s.t, 2, "0:00"); /* before the tie */
    term_wait_row(s.t, 3, "1    5/16 120");
    term_wait_row(s.t, 4, "2       8 120");
    term_wait_row(s.t, 5, "3      16 120");
    assert_string_equal(term_cell(s.t, 3, 0).text, "◆");
    assert_string_not_equal(term_cell(s.t, 4, 0).text, "◆");
}

static void the_row_of_now_follows_the_clip(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 310);
    stage_play(&s);
    stage_wait_past(&s, 335);
    stage_halt(&s);
    term_wait_idle(s.t);
    struct term_cell now = term_cell(s.t, 4, 1), other = term_cell(s.t, 3, 1);
    assert_true(now.bg != other.bg || now.reverse != other.reverse);
}

static void a_click_on_a_set_goes_to_its_count_1(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 90);
    term_click(s.t, 4, 3, 1);
    stage_wait_frame(&s, 330);
}

static void a_mark_knows_its_set_and_count(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 150);
    term_keys(s.t, "t h");
    term_wait_row(s.t, -1, "set 1, count 5 of 16");
    struct call c = stage_newest_call(&s);
    assert_string_equal(c.set, "1");
    assert_true(c.count > 4.99 && c.count < 5.01);
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
}

static void marks_made_before_learn_their_set_and_count(void **state)
{
    (void)state;
    struct call c = stage_only_call(&s); /* at 0:12, two counts into set 2 */
    assert_string_equal(c.set, "2");
    assert_true(c.count > 2.99 && c.count < 3.01);
}

static void a_tie_is_moved_by_a_frame_and_taken_away(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 90);
    term_keys(s.t, "]");
    term_wait_row(s.t, -1, "move the tie of set 1 to 0:03.033");
    stage_wait_frame(&s, 91);
    term_keys(s.t, "[ [");
    term_wait_row(s.t, -1, "move the tie of set 1 to 0:02.967");
    stage_wait_frame(&s, 89);
    term_keys(s.t, "]");
    term_wait_row(s.t, -1, "move the tie of set 1 to 0:03.000");
    term_keys(s.t, "_");
    term_wait_row(s.t, -1, "untie 0:03.000");
    term_wait_row(s.t, 1, "time    marks");
    assert_string_equal(stage_only_call(&s).set, "");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, 1, "count");
}

static void a_typed_set_and_count_replaces_what_is_offered(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 345);
    term_keys(s.t, "@");
    term_wait_row(s.t, -1, "now is set.count:");
    term_type(s.t, "2.2");
    term_wait_row(s.t, -1, "set.count: 2.2");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "tie 0:11.500 to set 2, count 2");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
    term_keys(s.t, "@ Esc");
    term_wait_gone_row(s.t, -1, "set.count:");
}

static void a_tie_that_cannot_be_is_refused(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 90);
    term_keys(s.t, "@");
    term_type(s.t, "7.1");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "7");
    term_keys(s.t, "@");
    term_type(s.t, "1.99");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "set 1 has 16 counts");
}

static void what_was_seen_is_measured_in_counts(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 336); /* six frames, 0.2 s, 0.4 counts after count 1 of set 2 */
    term_keys(s.t, "t f .");
    term_wait_text(s.t, "0.4 counts late");
    term_keys(s.t, "Ctrl-z Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
}

/* The hand is a reaction lead late, 600 ms or 18 frames: what is measured is what was seen. */
static void what_is_seen_in_play_takes_the_lead_off(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 330);
    term_keys(s.t, "u f");
    term_wait_row(s.t, -1, "tubas");
    long long id = stage_newest_call(&s).id;
    stage_go(&s, 322);
    stage_play(&s);
    stage_wait_past(&s, 343);
    long before = stage_frame(&s);
    term_keys(s.t, ".");
    term_wait_text(s.t, "due set 2 count 1");
    long after = stage_frame(&s);
    stage_halt(&s);
    const char *row = strstr(stage_json(&s), arena_printf(test_arena(), "\"id\": %lld", id));
    assert_non_null(row);
    const char *counts = strstr(row, "\"late_counts\": ");
    assert_non_null(counts);
    double frames = strtod(counts + strlen("\"late_counts\": "), NULL) * 15;
    if (330 + frames < (double)before - 18.5 || 330 + frames > (double)after - 17.5)
        fail_msg("%.1f frames behind 330, seen between %ld and %ld", frames, before, after);
}

static void taps_are_made_while_the_clip_plays(void **state)
{
    (void)state;
    stage_calm(&s);
    stage_go(&s, 90);
    term_keys(s.t, "`");
    term_wait_row(s.t, -1, "while the clip plays");
    stage_play(&s);
    term_keys(s.t, "`");
    term_wait_row(s.t, -1, "1 tap");
    stage_wait_past(&s, stage_frame(&s) + 8);
    term_keys(s.t, "`");
    term_wait_row(s.t, -1, "2 taps");
    term_keys(s.t, "Esc");
    term_wait_row(s.t, -1, "taps dropped");
    stage_halt(&s);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, by_drill);
    case_test(&all, counts_that_are_not_there_are_refused);
    case_test(&all, a_number_that_no_set_has_is_seconds_and_that_is_said);
    case_test(&all, the_rail_shows_sets_counts_and_tempo);
    case_test(&all, the_row_of_now_follows_the_clip);
    case_test(&all, a_click_on_a_set_goes_to_its_count_1);
    case_test(&all, marks_made_before_learn_their_set_and_count);
    case_test(&all, a_mark_knows_its_set_and_count);
    case_test(&all, a_tie_is_moved_by_a_frame_and_taken_away);
    case_test(&all, a_typed_set_and_count_replaces_what_is_offered);
    case_test(&all, a_tie_that_cannot_be_is_refused);
    case_test(&all, what_was_seen_is_measured_in_counts);
    case_test(&all, what_is_seen_in_play_takes_the_lead_off);
    case_test(&all, taps_are_made_while_the_clip_plays);
    return _cmocka_run_group_tests("the drill", all.at, all.n, open_stage, close_stage);
}
