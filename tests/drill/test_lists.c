/* Fix lists and what the staff must decide, from the command line. */
#include "base/buf.h"
#include "drill/drill.h"

static const char *show;

/* A band of four and two clips of an hour, a week apart. */
static void fresh(void)
{
    show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(2700), "a", "2026-08-01");
    add_clip(show, gray_clip(3000), "b", "2026-08-08");
}

/* n marks from `from` seconds on, a second apart, as lines of a table of marks. */
static const char *marks(int n, const char *clip, int from, const char *who_what)
{
    const char *lines = "";
    for (int i = 0; i < n; i++)
        lines = say("%s%s,%d,%s\n", lines, clip, from + i, who_what);
    return lines;
}

static void put(const char *lines)
{
    add_marks(show, say("clip,time,target,fault\n%s", lines));
}

static const json_t *items(const char *whom)
{
    return json_object_get(box_json("fixes", show, "--for", whom), "items");
}

static const json_t *item(const char *whom, const char *fault)
{
    return row_with(items(whom), "fault", fault);
}

/* --- rates ----------------------------------------------------------------------------------- */

static void rates_rest_on_watched_minutes_and_their_exact_interval(void **state)
{
    (void)state;
    /* R 4.2.2 poisson.test, exact 95 % (Garwood) of a count; here over 10 watched minutes. */
    static const struct {
        int marks;
        double low, high;
    } rows[] = {{1, 0.02531781, 5.571643}, {5, 1.623486, 11.66833}, {10, 4.795389, 18.39036}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        fresh();
        put(marks(rows[i].marks, "a", 60, "trumpets,slouch"));
        box_ok("watched", show, "a", "0", "10:00");
        const json_t *o = item("trumpets", "slouch");
        assert_true(fabs(number_at(o, "rate") - rows[i].marks / 10.0) < 1e-9);
        assert_true(fabs(number_at(o, "rate_low") - rows[i].low / 10) < 1e-6);
        assert_true(fabs(number_at(o, "rate_high") - rows[i].high / 10) < 1e-5);
    }
}

/* A fault that was mended was seen all the same: the minutes of both clips count, so do their marks.
 */
static void a_rate_counts_marks_that_are_clean_now(void **state)
{
    (void)state;
    fresh();
    put(say("%s%s%s", marks(6, "a", 60, "trumpets,slouch"), marks(2, "b", 60, "trumpets,slouch"),
            marks(3, "b", 90, "trumpets,lean")));
    box_ok("watched", show, "a", "0", "10:00");
    box_ok("watched", show, "b", "0", "10:00");
    box_ok("state", show, "trumpets", "slouch", "clean", "--clip", "a");
    const json_t *o = item("trumpets", "slouch");
    assert_int_equal(number_at(o, "marks"), 2);
    assert_true(fabs(number_at(o, "rate") - 8 / 20.0) < 1e-9);
    assert_string_equal(text_at(row(items("trumpets"), 0), "fault"), "lean");
    const json_t *by_rate = box_json("fixes", show, "--for", "trumpets", "--by", "rate");
    assert_string_equal(text_at(row(json_object_get(by_rate, "items"), 0), "fault"), "slouch");
}

static void watched_stretches_are_joined_and_counted_once(void **state)
{
    (void)state;
    fresh();
    box_ok("watched", show, "a", "0", "5:00");
    box_ok("watched", show, "a", "4:00", "6:00");
    const struct run r = box_ok("watched", show, "a", "8:00", "9:00");
    assert_string_equal(r.out, "0:00.0 6:00.0\n8:00.0 9:00.0\n");
    put(marks(1, "a", 60, "trumpets,slouch"));
    assert_true(fabs(number_at(box_json("fixes", show), "watched_minutes") - 7) < 1e-9);
    refused(box("watched", show, "a", "5:00", "4:00"), 3, "ends (4:00) before it begins");
    refused(box("watched", show, "a", "5:00"), 2, "FROM and TO");
    refused(box("watched", show, "a", "0", "60:00"), 3, "past the end");
}

static void without_watching_there_is_no_rate(void **state)
{
    (void)state;
    fresh();
    put(marks(3, "a", 60, "trumpets,slouch"));
    const json_t *all = box_json("fixes", show), *o = item("trumpets", "slouch");
    assert_true(null_at(all, "watched_minutes"));
    assert_true(null_at(o, "rate") && null_at(o, "rate_low") && null_at(o, "rate_high"));
    assert_contains(box_ok("fixes", show).out, "No watching is stored");
}

/* --- order ----------------------------------------------------------------------------------- */

/* Its blanks and line ends made one blank. */
static const char *words(const char *text)
{
    struct buf b = {0};
    for (; *text; text++)
        if (!strchr(" \n", *text))
            buf_char(&b, *text);
        else if (b.n && b.p[b.n - 1] != ' ')
            buf_char(&b, ' ');
    const char *out = arena_strdup(test_arena(), buf_text(&b));
    buf_free(&b);
    return out;
}
#define sheet(...) words(box_ok("fixes", show, __VA_ARGS__).out)

static void every_order_ranks_by_its_own_rule_and_prints_it(void **state)
{
    (void)state;
    fresh();
    put(say("%s%s%s%s", marks(6, "a", 60, "trumpets,slouch"), marks(2, "a", 90, "T1,bounce"),
            marks(2, "b", 90, "T1,bounce"), marks(1, "b", 200, "T2,lean")));
    box_ok("mark", show, "a", "300", "T2", "elbows", "--severity", "3");
    static const struct {
        const char *by, *first, *rule;
    } rows[] = {{"frequency", "slouch", "Order: marks not yet clean, then runs"},
                {"runs", "bounce", "Order: runs in which it was seen"},
                {"severity", "elbows", "Order: severity"},
                {"rate", "slouch", "Order: marks a watched minute, clean ones too"},
                {"recent", "lean", "Order: the latest"}};
    box_ok("watched", show, "a", "0", "45:00");
    for (size_t i = 0; i < COUNT(rows); i++) {
        const json_t *o = box_json("fixes", show, "--by", rows[i].by);
        const char *first = text_at(row(json_object_get(o, "items"), 0), "fault");
        if (strcmp(first, rows[i].first) != 0)
            fail_msg("by %s: %s first", rows[i].by, first);
        assert_contains(text_at(o, "rule"), rows[i].rule);
        assert_contains(sheet("--numbers", "--by", rows[i].by), rows[i].rule);
    }
    refused(box("fixes", show, "--by", "luck"), 2, "no order 'luck'");
}

static void lines_that_cannot_be_told_apart_share_a_letter(void **state)
{
    (void)state;
    fresh();
    /* 40 against 3: apart (exact binomial p < 1e-8); 3 against 2: not (p = 1), by R binom.test. */
    put(say("%s%s%s", marks(40, "a", 60, "trumpets,slouch"), marks(3, "a", 200, "trumpets,bounce"),
            marks(2, "a", 300, "trumpets,lean")));
    assert_string_equal(text_at(item("trumpets", "slouch"), "joined"), "");
    const char *letter = text_at(item("trumpets", "bounce"), "joined");
    assert_true(*letter);
    assert_string_equal(text_at(item("trumpets", "lean"), "joined"), letter);
    assert_contains(sheet(NULL),
                    "Lines 2 and 3 are about equally frequent: their order may be chance.");
    assert_lacks(sheet(NULL), "Benjamini");
    assert_contains(sheet("--numbers"), "cannot be told apart");
    put(marks(38, "a", 400, "trumpets,bounce"));
    assert_contains(sheet(NULL),
                    "Lines 1 and 2 are about equally frequent: their order may be chance.");
    put(marks(39, "a", 500, "trumpets,lean"));
    assert_contains(sheet(NULL),
                    "All lines are about equally frequent: their order may be chance.");
    put(marks(200, "b", 500, "trumpets,elbows"));
    assert_contains(sheet(NULL),
                    "Lines 2 to 4 are about equally frequent: their order may be chance.");
}

static void the_lines_that_make_up_four_fifths_are_named(void **state)
{
    (void)state;
    fresh();
    /* 6 + 3 of 11 are 82 %. */
    put(say("%s%s%s%s", marks(6, "a", 60, "trumpets,slouch"), marks(3, "a", 90, "trumpets,bounce"),
            marks(1, "a", 120, "trumpets,lean"), marks(1, "a", 150, "trumpets,elbows")));
    assert_int_equal(number_at(box_json("fixes", show), "share_items"), 2);
    assert_contains(sheet("--numbers"),
                    "The first 2 of 4 lines make up at least 80 % of the marks");
}

static void a_list_that_rests_on_little_says_so(void **state)
{
    (void)state;
    fresh();
    put(marks(2, "a", 60, "trumpets,slouch"));
    box_ok("watched", show, "a", "0", "2:00");
    assert_true(json_is_true(json_object_get(box_json("fixes", show), "rests_on_little")));
    assert_contains(box_ok("fixes", show).out, "little");
    put(marks(60, "a", 100, "trumpets,slouch"));
    box_ok("watched", show, "b", "0", "50:00");
    box_ok("watched", show, "a", "0", "45:00");
    assert_true(json_is_false(json_object_get(box_json("fixes", show), "rests_on_little")));
}

/* --- state ----------------------------------------------------------------------------------- */

static void a_line_goes_from_open_to_repped_to_clean_and_comes_back(void **state)
{
    (void)state;
    fresh();
    put(marks(2, "a", 60, "trumpets,slouch"));
    assert_string_equal(text_at(item("trumpets", "slouch"), "state"), "open");
    box_ok("state", show, "trumpets", "slouch", "repped");
    assert_string_equal(text_at(item("trumpets", "slouch"), "state"), "repped");
    box_ok("state", show, "trumpets", "slouch", "clean");
    assert_string_equal(text_at(item("trumpets", "slouch"), "state"), "clean");
    assert_true(json_is_false(json_object_get(item("trumpets", "slouch"), "back")));
    box_ok("mark", show, "b", "60", "T1", "slouch");
    assert_true(json_is_true(json_object_get(item("trumpets", "slouch"), "back")));
    assert_contains(sheet(NULL), "[back since 2026-08-08, clean in a, 2 more clean]");
    assert_contains(sheet("--brief"), "slouch [back]");
    refused(box("state", show, "trumpets", "slouch", "done"), 2, "open, repped or clean");
    refused(box("state", show, "trumpets", "slooch", "clean"), 3, "did you mean 'slouch'?");
    refused(box("state", show, "trumpts", "slouch", "clean"), 3, "did you mean 'trumpets'?");
}

/* --- people ---------------------------------------------------------------------------------- */

static const char *as_every_format(const char *whom, const char *more)
{
    return say("%s%s%s", box_ok("fixes", show, "--for", whom, "--as", "text", more).out,
               box_ok("fixes", show, "--for", whom, "--as", "csv", more).out,
               box_ok("fixes", show, "--for", whom, "--as", "json", more).out);
}

static void labels_only_hides_every_name(void **state)
{
    (void)state;
    static const char *const names[] = {"Finch", "Larkin", "Moss", "Reed"};
    fresh();
    put("a,60,T1,slouch\na,61,T2,slouch\na,62,U1,slouch\na,63,G1,slouch\n");
    static const char *const whom[] = {"ensemble", "trumpets", "T1"};
    for (size_t i = 0; i < COUNT(whom); i++)
        for (size_t k = 0; k < COUNT(names); k++)
            assert_lacks(as_every_format(whom[i], "--labels-only"), names[k]);
}

static void a_performers_list_shows_nobody_else(void **state)
{
    (void)state;
    static const char *const others[] = {"Larkin", "T2", "Moss", "U1", "Reed", "G1"};
    fresh();
    put("a,60,T1,slouch\na,61,T2,slouch\na,62,T1;T2,bounce\na,63,trumpets,slouch\na,64,U1,"
        "slouch\n");
    const char *text = as_every_format("T1", NULL);
    for (size_t i = 0; i < COUNT(others); i++)
        assert_lacks(text, others[i]);
    assert_contains(text, "bounce");
}

static void notes_reach_no_output_with_control_characters(void **state)
{
    (void)state;
    fresh();
    box_ok("mark", show, "a", "12", "trumpets", "knees", "--note",
           "red \033[31m bell \a back \b del \177 end");
    tame(box_ok("fixes", show).out);
    tame(box_ok("fixes", show, "--as", "csv").out);
    tame(box_ok("calls", show, "a").out);
    tame(box_ok("calls", show, "a", "--as", "csv").out);
    tame(box_ok("define", show).out);
    const char *lists[] = {box_ok("fixes", show, "--as", "csv").out,
                           box_ok("calls", show, "a", "--as", "csv").out,
                           box_ok("define", show, "--as", "csv").out};
    for (size_t i = 0; i < COUNT(lists); i++)
        assert_int_equal(csv_rows(lists[i]), 2);
    const json_t *o = row(box_json("calls", show, "a"), 0);
    assert_contains(text_at(o, "note"), "red");
}

/* --- what the staff must decide -------------------------------------------------------------- */

static const json_t *to_define(const char *fault)
{
    return row_with(json_object_get(box_json("define", show), "items"), "fault", fault);
}

static void a_decision_stands_on_the_lists_and_makes_later_marks_the_performers(void **state)
{
    (void)state;
    fresh();
    box_ok("mark", show, "a", "60", "trumpets", "knees");
    box_ok("mark", show, "a", "70", "T1", "slouch", "--cause", "define");
    box_ok("mark", show, "a", "80", "T1", "bounce");
    assert_int_equal(json_array_size(json_object_get(box_json("define", show), "items")), 2);
    assert_true(json_is_false(json_object_get(to_define("knees"), "decided")));
    box_ok("define", show, "knees", "--decide", "Straight from hip to heel.");
    const json_t *o = to_define("knees");
    assert_true(json_is_true(json_object_get(o, "decided")));
    assert_string_equal(text_at(o, "right"), "Straight from hip to heel.");
    assert_string_equal(text_at(item("trumpets", "knees"), "right"), "Straight from hip to heel.");
}

static void later_marks_of_a_decided_fault_are_to_execute(void **state)
{
    (void)state;
    fresh();
    box_ok("mark", show, "a", "60", "trumpets", "knees");
    box_ok("define", show, "knees", "--decide", "Straight from hip to heel.");
    box_ok("mark", show, "a", "90", "trumpets", "knees");
    box_ok("define", show, "knees", "--decide", "");
    box_ok("mark", show, "a", "95", "trumpets", "knees");
    const json_t *calls = box_json("calls", show, "a");
    static const char *const causes[] = {"define", "execute", "define"};
    for (size_t i = 0; i < COUNT(causes); i++)
        assert_string_equal(text_at(row(calls, i), "cause"), causes[i]);
    assert_true(json_is_false(json_object_get(to_define("knees"), "decided")));
    assert_lacks(text_at(item("trumpets", "knees"), "right"), "hip to heel");
    refused(box("define", show, "nees", "--decide", "x"), 3, "did you mean 'knees'?");
    refused(box("define", show, "--decide", "x"), 2, "--decide needs the FAULT");
    refused(box("define", show, "knees", "--decide", "one\ntwo"), 3, "one line");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, rates_rest_on_watched_minutes_and_their_exact_interval);
    case_test(&all, a_rate_counts_marks_that_are_clean_now);
    case_test(&all, watched_stretches_are_joined_and_counted_once);
    case_test(&all, without_watching_there_is_no_rate);
    case_test(&all, every_order_ranks_by_its_own_rule_and_prints_it);
    case_test(&all, lines_that_cannot_be_told_apart_share_a_letter);
    case_test(&all, the_lines_that_make_up_four_fifths_are_named);
    case_test(&all, a_list_that_rests_on_little_says_so);
    case_test(&all, a_line_goes_from_open_to_repped_to_clean_and_comes_back);
    case_test(&all, labels_only_hides_every_name);
    case_test(&all, a_performers_list_shows_nobody_else);
    case_test(&all, notes_reach_no_output_with_control_characters);
    case_test(&all, a_decision_stands_on_the_lists_and_makes_later_marks_the_performers);
    case_test(&all, later_marks_of_a_decided_fault_are_to_execute);
    return cases_run(&all, "fix lists");
}
