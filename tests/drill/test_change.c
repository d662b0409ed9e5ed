/* Is it better than last week? Two rehearsals compared from the command line. */
#include "drill/drill.h"

enum { MOST_MARKS = 40 };

/* A show of two rehearsals with clips of `from_min` and `to_min`, of which all was watched, and so
 * many marks of one fault in each. */
static const char *two_rehearsals(int from_marks, int from_min, int to_marks, int to_min)
{
    const char *show = new_show(EVEN_SETS, SMALL_BAND), *lines = "clip,time,target,fault\n";
    add_clip(show, gray_clip(from_min * 60), "old", "2026-08-01");
    add_clip(show, gray_clip(to_min * 60), "new", "2026-08-08");
    box_ok("watched", show, "old", "0", say("%d", from_min * 60));
    box_ok("watched", show, "new", "0", say("%d", to_min * 60));
    assert_true(from_marks <= MOST_MARKS && to_marks <= MOST_MARKS);
    for (int i = 0; i < from_marks; i++)
        lines = say("%sold,%d,trumpets,slouch\n", lines, 10 + 3 * i);
    for (int i = 0; i < to_marks; i++)
        lines = say("%snew,%d,trumpets,slouch\n", lines, 10 + 3 * i);
    add_marks(show, lines);
    return show;
}

#define COMPARE "compare", show, "--from", "2026-08-01", "--to", "2026-08-08"

/* R 4.2.2 poisson.test(c(to, from), c(to_min, from_min)): the conditional test of Przyborowski and
 * Wilenski, 1940. NAN: not among the published values. */
static const struct test {
    const char *name;
    int to_marks, to_min, from_marks, from_min;
    double ratio, p, low, high;
} tests[] = {
    {"20 in 45 against 8 in 50", 20, 45, 8, 50, 2.777778, 0.01299, 1.171986, 7.291342},
    {"11 in 800 against 21 in 3011", 11, 800, 21, 3011, 1.971488, 0.07967, 0.8584264, 4.2772659},
    {"9 in 12 against 3 in 11", 9, 12, 3, 11, 2.75, 0.1505607, NAN, NAN},
};

static void the_exact_conditional_test_is_that_of_r(void **state)
{
    const struct test *t = *state;
    const char *show = two_rehearsals(t->from_marks, t->from_min, t->to_marks, t->to_min);
    const json_t *o = row(json_object_get(box_json(COMPARE), "items"), 0);
    assert_int_equal(number_at(o, "from_marks"), t->from_marks);
    assert_int_equal(number_at(o, "to_marks"), t->to_marks);
    assert_true(fabs(number_at(o, "ratio") - t->ratio) < 1e-6);
    assert_true(fabs(number_at(o, "p") - t->p) < 6e-6);
    if (isnan(t->low))
        return;
    assert_true(fabs(number_at(o, "ratio_low") - t->low) < 1e-4);
    assert_true(fabs(number_at(o, "ratio_high") - t->high) < 1e-4);
}

static const struct word {
    const char *name;
    int from_marks, from_min, to_marks, to_min;
    const char *verdict;
} words[] = {
    {"gone after much watching is fixed", 11, 45, 0, 50, "fixed"},
    {"gone after little watching is unseen", 11, 45, 0, 2, "unseen"},
    {"a single mark that is gone is unseen", 1, 45, 0, 50, "unseen"},
    {"fewer beyond noise", 20, 45, 4, 50, "fewer"},
    {"a difference that may be noise is the same", 8, 45, 6, 50, "same"},
    {"more beyond noise", 8, 50, 20, 45, "more"},
    {"three that were not there may be noise", 0, 45, 3, 50, "first seen"},
    {"what was not there is new, beyond noise", 0, 45, 12, 50, "new"},
};

static void says_so(void **state)
{
    const struct word *w = *state;
    const char *show = two_rehearsals(w->from_marks, w->from_min, w->to_marks, w->to_min);
    const json_t *o = row(json_object_get(box_json(COMPARE, "--for", "trumpets"), "items"), 0);
    assert_string_equal(text_at(o, "verdict"), w->verdict);
    assert_string_equal(text_at(o, "fault"), "slouch");
    assert_contains(box_ok(COMPARE).out, w->verdict);
}

/* Sets 1 to 3 of 10 s each; the first clip begins with set 1, the second with set 3. */
static void a_set_that_was_not_played_again_is_not_called_fixed(void **state)
{
    (void)state;
    const char *show = new_show("set,counts,tempo\n1,20,120\n2,20,120\n3,200,120\n", SMALL_BAND);
    add_clip(show, gray_clip(120), "old", "2026-08-01");
    add_clip(show, gray_clip(60), "new", "2026-08-08");
    box_ok("count", show, "old", "tie", "0", "1");
    box_ok("count", show, "new", "tie", "0", "3");
    box_ok("watched", show, "old", "0", "120");
    box_ok("watched", show, "new", "0", "60");
    const char *lines = "clip,time,target,fault\n";
    for (int i = 0; i < 6; i++)
        lines = say("%sold,%d,trumpets,slouch\nold,%d,trumpets,bounce\nold,%d,trumpets,bounce\n",
                    lines, 1 + 3 * i, 21 + 3 * i, 51 + 3 * i);
    add_marks(show, lines);
    const json_t *all = box_json(COMPARE), *items = json_object_get(all, "items");
    const json_t *o = row_with(items, "fault", "slouch");
    assert_string_equal(text_at(o, "verdict"), "unseen");
    assert_true(number_at(o, "from_marks") == 6 && number_at(o, "from_compared") == 0);
    assert_string_equal(text_at(row_with(items, "fault", "bounce"), "verdict"), "fixed");
    assert_string_equal(text_at(all, "basis"), "sets");
    assert_int_equal(json_array_size(json_object_get(all, "sets")), 1);
    const char *text = box_ok(COMPARE).out;
    assert_contains(text, "Compared: what both played and somebody watched, set 3\n");
    assert_contains(text, "Minutes compared: 1.7 and 1.0; marks left out: 6 before, 0 after");
    assert_contains(box_ok(COMPARE, "--all").out, "6 -> 0     (compared 0 -> 0)");
    assert_lacks(text, "slouch"); /* nothing can be said of it */
    assert_contains(text, "Not shown: 1 unseen (--all shows them)");
}

/* Two people watch the first clip, one of them the second. */
static void marks_of_two_reviewers_are_not_added_up(void **state)
{
    (void)state;
    const char *show = two_rehearsals(8, 45, 6, 50), *lines = "clip,time,target,fault,author\n";
    setenv("BOXCALL_AUTHOR", "Ben Oak", 1);
    box_ok("watched", show, "old", "0", "2700");
    for (int i = 0; i < 20; i++)
        lines = say("%sold,%d,trumpets,slouch,Ben Oak\n", lines, 500 + 10 * i);
    add_marks(show, lines);
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    const json_t *o = row(json_object_get(box_json(COMPARE), "items"), 0);
    assert_true(number_at(o, "from_marks") == 28 && number_at(o, "from_compared") == 8);
    assert_string_equal(text_at(o, "verdict"), "same");
    assert_contains(box_ok(COMPARE).out, "marks left out: 20 before, 0 after");
}

/* Marks that name somebody else than those whose watching is stored: watching was entered for them. */
static void watching_that_was_entered_for_others_counts_for_them(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND), *lines = "clip,time,target,fault,author\n";
    add_clip(show, gray_clip(2700), "old", "2026-08-01");
    add_clip(show, gray_clip(3000), "new", "2026-08-08");
    box_ok("watched", show, "old", "0", "2700");
    box_ok("watched", show, "new", "0", "2700");
    for (int i = 0; i < 12; i++)
        lines = say("%sold,%d,trumpets,slouch,Cy Birch\n", lines, 100 + 10 * i);
    add_marks(show, lines);
    const json_t *o = row(json_object_get(box_json(COMPARE), "items"), 0);
    assert_string_equal(text_at(o, "verdict"), "fixed");
}

static void with_one_side_tied_it_says_what_to_tie(void **state)
{
    (void)state;
    const char *show = two_rehearsals(20, 45, 4, 50);
    box_ok("count", show, "old", "tie", "0", "1");
    const json_t *o = row(json_object_get(box_json(COMPARE), "items"), 0);
    assert_string_equal(text_at(o, "verdict"), "unsure");
    assert_contains(box_ok(COMPARE).out, "Not compared: clips of one side alone are tied to sets");
}

static void without_watching_nothing_is_called_better(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(120), "old", "2026-08-01");
    add_clip(show, gray_clip(60), "new", "2026-08-08");
    add_marks(show, "clip,time,target,fault\nold,1,T1,slouch\nold,2,T1,slouch\nold,3,T1,bounce\n"
                    "new,1,T1,slouch\nnew,4,T1,lean\n");
    const json_t *items = json_object_get(box_json(COMPARE), "items");
    assert_string_equal(text_at(row_with(items, "fault", "slouch"), "verdict"), "unsure");
    assert_string_equal(text_at(row_with(items, "fault", "bounce"), "verdict"), "unseen");
    assert_string_equal(text_at(row_with(items, "fault", "lean"), "verdict"), "first seen");
    assert_contains(box_ok(COMPARE, "--all").out, "that it is more than chance is not shown");
    assert_lacks(box_ok(COMPARE).out, "halving");
    assert_contains(box_ok(COMPARE).out, "Not compared: no watching of both is stored");
    assert_true(null_at(row(items, 0), "p") && null_at(row(items, 0), "ratio"));
    box_ok("watched", show, "new", "0", "60"); /* of one side alone there is no rate either */
    items = json_object_get(box_json(COMPARE), "items");
    assert_string_equal(text_at(row_with(items, "fault", "slouch"), "verdict"), "unsure");
}

/* 14 against 4 marks in as many minutes is p 0.03 alone; among thirteen lines it is what chance
 * brings: Benjamini and Hochberg's p of the smallest is p times the lines. */
static void among_many_lines_one_that_stands_out_is_noise(void **state)
{
    (void)state;
    const char *show = two_rehearsals(14, 45, 4, 46);
    const json_t *o = row(json_object_get(box_json(COMPARE), "items"), 0);
    assert_string_equal(text_at(o, "verdict"), "fewer");
    assert_true(fabs(number_at(o, "p_adjusted") - number_at(o, "p")) < 1e-12);
    static const char *const faults[] = {"bounce", "lean", "elbows", "out of step"},
                             *const who[] = {"U1", "G1", "T1"};
    const char *lines = "clip,time,target,fault\n";
    for (size_t w = 0; w < COUNT(who); w++)
        for (size_t i = 0; i < COUNT(faults); i++)
            lines = say("%sold,%zu,%s,%s\nnew,%zu,%s,%s\n", lines, 100 + w, who[w], faults[i],
                        100 + w, who[w], faults[i]);
    add_marks(show, lines);
    const json_t *items = json_object_get(box_json(COMPARE), "items");
    o = row_with(items, "fault", "slouch");
    assert_true(number_at(o, "p") < 0.05);
    assert_true(fabs(number_at(o, "p_adjusted") - 13 * number_at(o, "p")) < 1e-9);
    assert_string_equal(text_at(o, "verdict"), "same");
    assert_contains(box_ok(COMPARE).out, "false discoveries held at 5 %");
}

static void a_comparison_comes_as_csv_too(void **state)
{
    (void)state;
    const char *show = two_rehearsals(0, 45, 3, 50), *csv = box_ok(COMPARE, "--as", "csv").out;
    assert_int_equal(csv_rows(csv), 2);
    assert_string_equal(csv_at(csv, 1, 2), "first seen");
    assert_string_equal(csv_at(csv, 1, 7), ""); /* no ratio to a rate of nothing */
    tame(box_ok(COMPARE).out);
}

/* What changed, and how much it takes to see a change. */
static void only_what_changed_is_shown(void **state)
{
    (void)state;
    const char *show = two_rehearsals(20, 45, 4, 50);
    add_marks(show, "clip,time,target,fault\nold,5,T2,bounce\nnew,5,T2,bounce\nnew,9,T2,lean\n");
    const char *text = box_ok(COMPARE).out, *all = box_ok(COMPARE, "--all").out;
    assert_contains(text, "\ntrumpets\n  fewer      slouch");
    assert_lacks(text, "bounce");
    assert_contains(text, "Not shown: 1 same, 1 first seen (--all shows them).\n");
    assert_contains(all, "bounce");
    assert_contains(all, "lean");
    assert_lacks(all, "Not shown");
    assert_int_equal(json_array_size(json_object_get(box_json(COMPARE), "items")), 3);
    const double n = number_at(box_json(COMPARE), "marks_for_halving");
    assert_true(n > 50 && n < 90); /* 48 at 0.05, more for the first of three lines */
    assert_contains(
        text, say("takes some %.0f marks of it\nbefore (45.0 and 50.0 minutes, 3 lines).\n", n));
    refused(box("compare", show, "--from-clip", "old", "--to-clip", "old"), 3,
            "clip 'old' stands on both sides; name another rehearsal");
    refused(box("compare", show, "--from", "2026-08-01", "--to", "2026-08-01"), 3,
            "clip 'old' stands on both sides");
    show = two_rehearsals(8, 45, 6, 50);
    assert_contains(box_ok(COMPARE).out, "\nNothing changed beyond noise.\nNot shown: 1 same");
}

/* One run from two places: its minutes are watched once, and what was marked from both is one
 * sighting. The second camera began five seconds later. */
static void two_cameras_at_one_run_are_one_run(void **state)
{
    (void)state;
    const char *show = two_rehearsals(0, 3, 1, 4), *lines = "clip,time,target,fault\n";
    box_ok("count", show, "old", "tie", "10", "1");
    box_ok("count", show, "new", "tie", "10", "1");
    for (int i = 0; i < 4; i++)
        lines = say("%sold,%d,trumpets,slouch\n", lines, 11 + 4 * i);
    add_marks(show, lines);
    const json_t *one = box_json(COMPARE), *before = json_object_get(one, "from");
    const double minutes = number_at(before, "compared_minutes");
    add_clip(show, gray_clip(181), "side", "2026-08-01");
    box_ok("add", show, "clip", gray_clip(181), "--label", "side", "--run", "1");
    box_ok("count", show, "side", "tie", "5", "1");
    box_ok("watched", show, "side", "0", "181");
    lines = "clip,time,target,fault\n";
    for (int i = 0; i < 4; i++)
        lines = say("%sside,%d,trumpets,slouch\n", lines, 6 + 4 * i);
    add_marks(show, lines);
    const json_t *two = box_json(COMPARE);
    const json_t *o = row(json_object_get(two, "items"), 0);
    assert_int_equal(number_at(o, "from_marks"), 8);
    assert_int_equal(number_at(o, "from_sightings"), 4);
    assert_true(fabs(number_at(json_object_get(two, "from"), "compared_minutes") - minutes) < 0.1);
    /* Another run of that day is another. */
    box_ok("add", show, "clip", gray_clip(181), "--label", "side", "--run", "2");
    two = box_json(COMPARE);
    o = row(json_object_get(two, "items"), 0);
    assert_int_equal(number_at(o, "from_sightings"), 8);
    assert_true(number_at(json_object_get(two, "from"), "compared_minutes") > 1.8 * minutes);
}

static void sides_that_are_not_there_are_refused(void **state)
{
    (void)state;
    const char *show = two_rehearsals(1, 45, 1, 50);
    refused(box("compare", show, "--from", "2026-08-01"), 2, "--to DATE or --to-clip CLIP");
    refused(box("compare", show, "--from", "2026-08-01", "--to", "2026-08-09"), 3,
            "no clip of 2026-08-09");
    refused(box("compare", show, "--from", "2026-08-01", "--to", "2026-02-30"), 3,
            "'2026-02-30' is not a date");
    refused(box("compare", show, "--from", "2026-08-01", "--to-clip", "nwe"), 3,
            "did you mean 'new'?");
    refused(box(COMPARE, "--for", "trumpts"), 3, "did you mean 'trumpets'?");
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, tests, the_exact_conditional_test_is_that_of_r);
    cases_of(&all, words, says_so);
    case_test(&all, a_set_that_was_not_played_again_is_not_called_fixed);
    case_test(&all, marks_of_two_reviewers_are_not_added_up);
    case_test(&all, watching_that_was_entered_for_others_counts_for_them);
    case_test(&all, with_one_side_tied_it_says_what_to_tie);
    case_test(&all, without_watching_nothing_is_called_better);
    case_test(&all, among_many_lines_one_that_stands_out_is_noise);
    case_test(&all, a_comparison_comes_as_csv_too);
    case_test(&all, only_what_changed_is_shown);
    case_test(&all, two_cameras_at_one_run_are_one_run);
    case_test(&all, sides_that_are_not_there_are_refused);
    return cases_run(&all, "progress");
}
