/* Call lists in every format. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "count/timecode.h"
#include "paper/season.h"

static struct mark mark_of(struct arena *a, const struct show *show, const char *target, int fault,
                           int64_t at_us, const char *note)
{
    struct mark m = {.id = at_us / 100000,
                     .at_us = at_us,
                     .end_us = -1,
                     .fault = fault,
                     .severity = 1,
                     .note = note,
                     .author = "D. Whitlow",
                     .set = -1};
    struct err e = {0};
    if (!(m.targets = targets_parse(a, show, target, &m.n_targets, &e)))
        fail_msg("%s", e.text);
    return m;
}

static struct call_report report(const struct show *show, const struct mark *marks, size_t n)
{
    return (struct call_report){
        .show = show,
        .title = "Larkspur",
        .clip = {.label = "tuesday", .link = "tue 1.mp4", .date = "2026-09-14"},
        .fps_num = 30000,
        .fps_den = 1001,
        .length_us = 600000000,
        .marks = marks,
        .n_marks = n};
}

static void text_has_a_line_per_mark_and_cuts_no_note(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct mark marks[3] = {
        mark_of(&a, &show, "T1", 0, 5200000, ""),
        mark_of(&a, &show, "T2;U1", 2, 65000000,
                "a note that goes on well behind the eightieth column of a terminal and is kept"),
        mark_of(&a, &show, "trumpets", 1, 3600000000, "")};
    marks[0].set = 1;
    marks[0].count = 5.75;
    marks[1].severity = 3;
    marks[2].praise = true;
    struct call_report r = report(&show, marks, 3);
    calls_text(&r, &b);
    assert_string_equal(
        b.p, "Calls: tuesday (2026-09-14)   Larkspur\n3 marks\n\n"
             "0:05.200    T1       late arrival !    set 12A, count 5 of 16\n"
             "1:05.000    T2;U1    horn angle   !!!  a note that goes on well behind the eightieth "
             "column of a terminal and is kept\n"
             "1:00:00.000 trumpets style        keep\n");
    buf_free(&b);
    arena_free(&a);
}

static void an_empty_list_is_written_in_every_format(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct call_report r = report(&show, NULL, 0);
    calls_text(&r, &b);
    assert_non_null(strstr(b.p, "0 marks"));
    buf_clear(&b);
    calls_csv(&r, &b);
    assert_int_equal(csv_rows_of(&a, &b)->n, 1);
    buf_clear(&b);
    calls_vtt(&r, &b);
    assert_string_equal(b.p, "WEBVTT\n");
    buf_clear(&b);
    calls_json(&r, &b);
    json_t *j = json_of(&b);
    assert_int_equal(json_array_size(j), 0);
    json_decref(j);
    buf_free(&b);
    arena_free(&a);
}

static void csv_has_the_columns_that_add_marks_reads(void **state)
{
    (void)state;
    static const char *const columns[] = {"clip",     "time",  "target", "fault", "note",
                                          "severity", "cause", "praise", "author"};
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct mark m = mark_of(&a, &show, "T1;low, lower;U1", 1, 65200000, "so\nso");
    m.praise = true;
    m.cause = CAUSE_DEFINE;
    m.severity = 2;
    struct call_report r = report(&show, &m, 1);
    calls_csv(&r, &b);
    struct csv_rows *rows = csv_rows_of(&a, &b);
    static const char *const cells[] = {"tuesday", "65.200", "T1;low, lower;U1",
                                        "style",   "so\nso", "2",
                                        "define",  "yes",    "D. Whitlow"};
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++)
        assert_string_equal(csv_at(rows, 1, columns[i]), cells[i]);
    assert_string_equal(csv_at(rows, 1, "link"), "tue%201.mp4#t=63.2");
    const struct target *t;
    size_t n;
    struct err e = {0};
    assert_true((t = targets_parse(&a, &show, csv_at(rows, 1, "target"), &n, &e)));
    assert_int_equal(n, 3);
    buf_free(&b);
    arena_free(&a);
}

/* What is written is enough to find the mark again and to keep what was measured. */
static void csv_loses_no_digit_of_a_mark(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct mark marks[3] = {mark_of(&a, &show, "T1", 0, 65200417, ""),
                            mark_of(&a, &show, "T1", 0, 3599999999, ""),
                            mark_of(&a, &show, "T1", 0, INT64_MAX - 1, "")};
    marks[0].timed = true;
    marks[0].late_counts = 1.0 / 3;
    marks[0].late_error = 0.1;
    marks[0].set = marks[1].set = 1;
    marks[0].count = 17;
    marks[1].count = 16.9994;
    struct call_report r = report(&show, marks, 3);
    calls_csv(&r, &b);
    struct csv_rows *rows = csv_rows_of(&a, &b);
    for (size_t i = 0; i < 2; i++) {
        struct err e = {0};
        int64_t us;
        assert_true(time_parse(csv_at(rows, i + 1, "time"), &us, &e));
        assert_true(us == marks[i].at_us);
    }
    assert_string_equal(csv_at(rows, 3, "time"), "9223372036854.775806");
    assert_true(strtod(csv_at(rows, 1, "late_counts"), NULL) == 1.0 / 3);
    assert_string_equal(csv_at(rows, 1, "late_error"), "0.1");
    assert_string_equal(csv_at(rows, 2, "late_counts"), "");
    assert_string_equal(csv_at(rows, 1, "count"), "end"); /* 12A is the last set, without a hold */
    assert_string_equal(csv_at(rows, 2, "count"), "16.999");
    buf_clear(&b);
    calls_text(&r, &b);
    assert_non_null(strstr(b.p, "the end of set 12A; late by 0.3 ± 0.1 counts\n"));
    assert_non_null(strstr(b.p, "set 12A, count 16 of 16\n"));
    buf_clear(&b);
    calls_vtt(&r, &b);
    calls_json(&r, &b);
    buf_free(&b);
    arena_free(&a);
}

/* Where there is room for words, the same words; where there are fields, the numbers. */
static void what_was_measured_stands_in_every_format(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    show.grid = *grid_named("high-school");
    struct mark marks[2] = {mark_of(&a, &show, "T1", 0, 5200000, "watch"),
                            mark_of(&a, &show, "T2", 0, 9000000, "")};
    marks[0].measure = (struct measure){MEASURE_INTERVAL, 1.4, 0.2, 2};
    marks[0].on_field = true;
    marks[0].x = -17.91;
    marks[0].y = 32.12;
    struct call_report r = report(&show, marks, 2);
    static void (*const writers[])(const struct call_report *,
                                   struct buf *) = {calls_text, calls_vtt, calls_chapters};
    static const char *const said[] = {
        "interval 1.4 ± 0.2 of 2, at side 1, 2 outside 40; 4 behind front hash; watch\n",
        "\ninterval 1.4 ± 0.2 of 2, at side 1, 2 outside 40; 4 behind front hash\nwatch\n",
        "\\; interval 1.4 ± 0.2 of 2, at side 1, 2 outside 40\\; 4 behind front hash\\; watch\n"};
    for (size_t i = 0; i < 3; i++) {
        buf_clear(&b);
        writers[i](&r, &b);
        if (!strstr(b.p, said[i]))
            fail_msg("no '%s' in:\n%s", said[i], b.p);
    }
    buf_clear(&b);
    calls_csv(&r, &b);
    struct csv_rows *rows = csv_rows_of(&a, &b);
    static const char *const cells[][2] = {{"measure", "interval"},  {"measure_value", "1.4"},
                                           {"measure_error", "0.2"}, {"measure_of", "2"},
                                           {"across", "-17.91"},     {"depth", "32.12"}};
    for (size_t i = 0; i < 6; i++) {
        assert_string_equal(csv_at(rows, 1, cells[i][0]), cells[i][1]);
        assert_string_equal(csv_at(rows, 2, cells[i][0]), "");
    }
    buf_clear(&b);
    calls_json(&r, &b);
    json_t *list = json_of(&b), *m = json_array_get(list, 0),
           *measure = json_object_get(m, "measure");
    assert_string_equal(json_str(measure, "kind"), "interval");
    assert_true(json_number_value(json_object_get(measure, "value")) == 1.4);
    assert_true(json_number_value(json_object_get(measure, "error")) == 0.2);
    assert_true(json_number_value(json_object_get(measure, "of")) == 2);
    assert_string_equal(json_str(m, "spot"), "side 1, 2 outside 40; 4 behind front hash");
    assert_true(json_number_value(json_object_get(m, "across")) == -17.91);
    m = json_array_get(list, 1);
    assert_true(json_is_null(json_object_get(m, "measure")));
    assert_true(json_is_null(json_object_get(m, "spot")));
    json_decref(list);
    buf_free(&b);
    arena_free(&a);
}

static void json_has_every_field_of_a_mark(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct mark marks[2] = {mark_of(&a, &show, "T1;low, lower", 0, 5200400, "watch"),
                            mark_of(&a, &show, "brass", 1, 6000000, "")};
    marks[0].set = 1;
    marks[0].count = 5.25;
    marks[0].state = MARK_REPPED;
    marks[1].praise = true;
    struct call_report r = report(&show, marks, 2);
    calls_json(&r, &b);
    json_t *list = json_of(&b), *m = json_array_get(list, 0);
    assert_int_equal(json_array_size(list), 2);
    assert_int_equal(json_int(m, "id"), 52);
    assert_string_equal(json_str(m, "clip"), "tuesday");
    assert_int_equal(json_int(m, "ms"), 5200);
    assert_string_equal(json_str(m, "set"), "12A");
    assert_true(json_number_value(json_object_get(m, "count")) == 5.25);
    assert_int_equal(json_array_size(json_object_get(m, "targets")), 2);
    assert_string_equal(json_string_value(json_array_get(json_object_get(m, "targets"), 1)),
                        "low, lower");
    assert_string_equal(json_str(m, "fault"), "late arrival");
    assert_true(json_is_false(json_object_get(m, "praise")));
    assert_int_equal(json_int(m, "severity"), 1);
    assert_string_equal(json_str(m, "cause"), "execute");
    assert_string_equal(json_str(m, "state"), "repped");
    assert_string_equal(json_str(m, "note"), "watch");
    assert_string_equal(json_str(m, "author"), "D. Whitlow");
    m = json_array_get(list, 1);
    assert_true(json_is_null(json_object_get(m, "set")));
    assert_true(json_is_null(json_object_get(m, "count")));
    assert_true(json_is_true(json_object_get(m, "praise")));
    json_decref(list);
    buf_free(&b);
    arena_free(&a);
}

/* WebVTT (W3C), sections 4.1 and 4.2: a cue runs from before to after the mark, never from before
 * the clip; '&' '<' '>' are escaped, so that no text can make a cue of its own. */
static void captions_stand_around_their_moments(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct mark marks[3] = {mark_of(&a, &show, "T1", 0, 500000, ""),
                            mark_of(&a, &show, "T2;U1", 2, 65200000, "a <b> & c --> d\n\nnext"),
                            mark_of(&a, &show, "brass", 1, 3700000000, "")};
    marks[2].praise = true;
    struct call_report r = report(&show, marks, 3);
    calls_vtt(&r, &b);
    assert_string_equal(b.p, "WEBVTT\n"
                             "\nmark-5\n00:00:00.000 --> 00:00:03.500\nT1: late arrival\n"
                             "\nmark-652\n00:01:03.200 --> 00:01:08.200\nT2, U1: horn angle\n"
                             "a &lt;b&gt; &amp; c --&gt; d  next\n"
                             "\nmark-37000\n01:01:38.000 --> 01:01:43.000\nbrass: keep style\n");
    buf_free(&b);
    arena_free(&a);
}

/* Whatever a note says: text, JSON and captions are tame, CSV is whole, and each has one entry. */
static void a_note_can_do_no_harm(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = season(&a);
    for (int i = 0; i < HARM; i++) {
        struct mark m = mark_of(&a, &show, "T1", 0, 5000000, harm[i]);
        struct call_report r = report(&show, &m, 1);
        struct buf b = {0};
        r.clip.label = r.title = harm[i];
        calls_text(&r, &b);
        assert_tame(b.p, b.n);
        size_t lines = 0;
        for (const char *s = b.p; (s = strchr(s, '\n')); s++)
            lines++;
        assert_int_equal(lines, 4);
        buf_clear(&b);
        calls_json(&r, &b);
        assert_tame(b.p, b.n);
        json_t *j = json_of(&b);
        assert_string_equal(json_str(json_array_get(j, 0), "note"), harm[i]);
        json_decref(j);
        buf_clear(&b);
        calls_csv(&r, &b);
        assert_int_equal(csv_rows_of(&a, &b)->n, 2);
        buf_clear(&b);
        calls_vtt(&r, &b);
        assert_null(strstr(strstr(b.p, "-->") + 3, "-->"));
        assert_null(strstr(b.p, "<"));
        tame_lines(&b);
        assert_tame(b.p, b.n);
        buf_free(&b);
    }
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, text_has_a_line_per_mark_and_cuts_no_note);
    case_test(&all, an_empty_list_is_written_in_every_format);
    case_test(&all, csv_has_the_columns_that_add_marks_reads);
    case_test(&all, csv_loses_no_digit_of_a_mark);
    case_test(&all, what_was_measured_stands_in_every_format);
    case_test(&all, json_has_every_field_of_a_mark);
    case_test(&all, captions_stand_around_their_moments);
    case_test(&all, a_note_can_do_no_harm);
    return cases_run(&all, "call lists");
}
