/* What is measured in the drawn clip becomes marks: with four rough clicks on the ground and clicks at
 * feet where the truth has them. Set 2 ends with a closed interval, set 3 with a bent line
 * (demo/band/injected.csv). */
#include "drill/drill.h"
#include "lib/files.h"

static struct {
    const char *show;
    json_t *truth;
    double rows[3][4]; /* feet and 1 to picture */
} f;

/* Pixel of a place in grid steps. */
static const char *pixel(double across, double depth, double off)
{
    const json_t *field = json_object_get(f.truth, "field");
    const double x = across * number_at(field, "feet_per_step"),
                 y = depth * number_at(field, "feet_per_depth_step");
    double v[3];
    for (int i = 0; i < 3; i++)
        v[i] = f.rows[i][0] * x + f.rows[i][1] * y + f.rows[i][3];
    return say("%.1f,%.1f", v[0] / v[2] + 0.5 + off, v[1] / v[2] + 0.5 + off);
}

static size_t beat_of(const char *set, int count)
{
    const json_t *beats = json_object_get(f.truth, "beats");
    size_t i = 0;
    while (strcmp(text_at(row(beats, i), "set"), set) != 0 ||
           (int)number_at(row(beats, i), "count") != count)
        i++;
    return i;
}

static const char *time_of(size_t beat)
{
    return say("%.3f", number_at(row(json_object_get(f.truth, "beats"), beat), "ms") / 1000);
}

/* Where a performer's feet are. */
static const char *feet(const char *who, size_t beat)
{
    const json_t *at =
        row(json_object_get(row_with(json_object_get(f.truth, "performers"), "label", who), "at"),
            beat);
    return pixel(json_number_value(row(at, 0)), json_number_value(row(at, 1)), 0);
}

static int make(void **state)
{
    (void)state;
    const char *band = getenv("DEMO_BAND"), *dir = temp_dir(), *clip = path_in(dir, "clip.mp4"),
               *truth = path_in(dir, "truth.json");
    static const char *const tables[] = {"sections", "faults", "roster", "sets", "dots"};
    static const struct {
        double across, depth, off;
        const char *spot;
    } picks[] = {{0, 28, 3, "on 50; on front hash"},
                 {0, 56, -3, "on 50; on back hash"},
                 {-32, 28, 2, "side 1, on 30; on front hash"},
                 {32, 56, -2, "side 2, on 30; on back hash"}};
    f.show = new_show(NULL, NULL);
    for (size_t i = 0; i < COUNT(tables); i++)
        box_ok("add", f.show, tables[i], say("%s/%s.csv", band, tables[i]));
    well(run("sh", "-c",
             say("exec '%s' --sets 3 --size 960x540 --fps 6 --no-sound --preset ultrafast --out "
                 "'%s' --truth '%s'",
                 getenv("DEMO_CLIP"), clip, truth),
             NULL));
    add_clip(f.show, clip, "d", "2026-08-01");
    f.truth = json_load_file(truth, 0, NULL);
    const json_t *to = json_object_get(json_object_get(f.truth, "camera"), "feet_to_px");
    for (size_t i = 0; i < 3; i++)
        for (size_t k = 0; k < 4; k++)
            f.rows[i][k] = json_number_value(row(row(to, i), k));
    for (size_t i = 0; i < COUNT(picks); i++)
        box_ok("field", f.show, "d", "pick", "0",
               pixel(picks[i].across, picks[i].depth, picks[i].off), picks[i].spot);
    box_ok("count", f.show, "d", "tie", time_of(0), "1");
    return 0;
}

static int drop(void **state)
{
    (void)state;
    json_decref(f.truth);
    return 0;
}

/* The marks of the clip, which are taken back. */
static const json_t *marks_then_undo(void)
{
    const json_t *marks = box_json("calls", f.show, "d");
    if (json_array_size(marks))
        box_ok("undo", f.show);
    assert_int_equal(json_array_size(box_json("calls", f.show, "d")), 0);
    return marks;
}

static const json_t *measure_of(const json_t *mark, const char *kind)
{
    const json_t *m = json_object_get(mark, "measure");
    assert_string_equal(text_at(m, "kind"), kind);
    return m;
}

static void the_gap_that_closes_is_marked_with_both_who_make_it(void **state)
{
    (void)state;
    const size_t end = beat_of("3", 1); /* set 2 is reached */
    const struct run r =
        box_ok("field", f.show, "d", "gaps", time_of(end), feet("T4", end), feet("T6", end),
               feet("T3", end), feet("T5", end), "--mark", "closed interval", "--of", "2");
    assert_contains(r.err, "T6, T3, closed interval; interval 1.1 ± 0.2 of 2, at side 1, ");
    const json_t *marks = marks_then_undo(), *m = row(marks, 0), *is = measure_of(m, "interval");
    assert_int_equal(json_array_size(marks), 1);
    assert_true(fabs(number_at(is, "value") - 1.1) < 0.2 && number_at(is, "of") == 2);
    assert_true(number_at(is, "error") > 0.05 && number_at(is, "error") < 0.5);
    assert_true(fabs(number_at(m, "depth") - 36) < 0.5);
    assert_string_equal(text_at(m, "note"), "");
    assert_string_equal(text_at(m, "set"), "3"); /* and it knows its place in the drill */
}

static void everybody_off_the_line_has_a_mark_and_they_are_one_step(void **state)
{
    (void)state;
    const size_t b = beat_of("3", 14);
    const struct run r = box_ok("field", f.show, "d", "fit", time_of(b), "line", feet("BR1", b),
                                feet("BR2", b), feet("BR3", b), feet("BR4", b), feet("BR5", b),
                                feet("BR6", b), "--mark", "bent line");
    assert_contains(r.err, "BR3, bent line; off the line 0.");
    const json_t *marks = marks_then_undo();
    assert_true(json_array_size(marks) >= 2);
    for (size_t i = 0; i < json_array_size(marks); i++) {
        const json_t *is = measure_of(row(marks, i), "line");
        assert_true(number_at(is, "value") > 0.5 && null_at(is, "of"));
        assert_true(number_at(is, "value") > number_at(is, "error"));
        assert_int_equal(json_array_size(json_object_get(row(marks, i), "targets")), 1);
    }
    box_ok("field", f.show, "d", "fit", time_of(b), "line", feet("BR1", b), feet("BR2", b),
           feet("BR3", b), feet("BR4", b), feet("BR5", b), feet("BR6", b), "--mark", "bent line",
           "--tolerance", "3");
    assert_int_equal(json_array_size(marks_then_undo()), 0);
}

static void who_is_out_of_place_is_marked_and_nobody_else(void **state)
{
    (void)state;
    const size_t end = beat_of("3", 1);
    const struct run r =
        box_ok("field", f.show, "d", "check", time_of(end), feet("T1", end), feet("T2", end),
               feet("T3", end), feet("T4", end), feet("T6", end), feet("T7", end), feet("T8", end),
               feet("T9", end), "--for", "trumpets", "--mark", "off the dot");
    assert_contains(r.err, "T7, off the dot; out of place by 1.");
    const json_t *marks = marks_then_undo();
    for (size_t i = 0; i < json_array_size(marks); i++) {
        const char *who = json_string_value(row(json_object_get(row(marks, i), "targets"), 0));
        assert_true(strcmp(who, "T3") == 0 || strcmp(who, "T7") == 0);
        measure_of(row(marks, i), "place");
    }
    const struct run at =
        box_ok("field", f.show, "d", "at", time_of(end), feet("T2", end), "--mark", "off the dot");
    assert_contains(at.err,
                    "nothing is marked: nobody is off by more than the error and 0.5 steps");
    assert_int_equal(json_array_size(marks_then_undo()), 0);
    box_ok("field", f.show, "d", "at", time_of(end), feet("T7", end), "--mark", "off the dot",
           "--target", "T7");
    assert_true(number_at(measure_of(row(marks_then_undo(), 0), "place"), "value") > 1);
}

static void a_step_size_is_held_against_the_dots_or_what_is_said(void **state)
{
    (void)state;
    const size_t from = beat_of("2", 2), to = beat_of("2", 16);
    const struct run right =
        box_ok("field", f.show, "d", "pace", time_of(from), feet("T8", from), time_of(to),
               feet("T8", to), "--mark", "drift", "--target", "T8");
    assert_contains(right.err, "nothing is marked");
    box_ok("field", f.show, "d", "pace", time_of(from), feet("T8", from), time_of(to),
           feet("T8", to), "--mark", "drift", "--of", "6", "--target", "T8");
    const json_t *m = row(marks_then_undo(), 0), *is = measure_of(m, "step size");
    assert_true(number_at(is, "of") == 6 && number_at(is, "value") > 12);
    assert_true(number_at(m, "end_ms") > number_at(m, "ms"));
}

static void who_is_not_clear_is_not_marked(void **state)
{
    (void)state;
    refused(box("field", f.show, "d", "gaps", "0.5", "100,230", "130,230", "132,230", "160,230",
                "--mark", "dress"),
            3, "who stands there is not clear (clip 'd' is not tied to the drill at 0:00.500");
    refused(box("field", f.show, "d", "at", "5", "100,230", "--tolerance", "1"), 2,
            "--tolerance is of the marks that --mark FAULT makes");
    refused(box("field", f.show, "d", "corner", "5", "1,1", "2,2", "3,3", "--mark", "dress"), 2,
            "takes no --mark");
    const size_t from = beat_of("2", 2), to = beat_of("2", 16);
    const char *const *words =
        (const char *const[]){time_of(from), feet("T8", from), time_of(to), feet("T8", to)};
    refused(box("field", f.show, "d", "pace", words[0], words[1], words[2], words[3], "--mark",
                "drift", "--target", "trumpets"),
            3, "what the step size should be is not known; say it: --of 8");
}

/* On the terminal, in the table, on the web page: one sentence. */
static void every_list_says_the_same_of_it(void **state)
{
    (void)state;
    const size_t end = beat_of("3", 1);
    const char *web = path_in(temp_dir(), "web");
    box_ok("field", f.show, "d", "at", time_of(end), feet("T7", end), "--mark", "off the dot",
           "--target", "T7");
    const json_t *item = row(json_object_get(box_json("fixes", f.show, "--for", "T7"), "items"), 0),
                 *moment = row(json_object_get(item, "moments"), 0);
    const char *said = text_at(item, "measured"), *words = strstr(said, " at 0:12.4");
    assert_true(strncmp(said, "out of place by 1.", 18) == 0 && words);
    measure_of(moment, "place");
    const char *whole = say("%.*s, at %s", (int)(words - said), said, text_at(moment, "spot"));
    assert_contains(box_ok("fixes", f.show, "--for", "T7").out, said);
    assert_contains(box_ok("fixes", f.show, "--for", "T7", "--as", "csv").out, said);
    assert_contains(box_ok("calls", f.show, "d").out, whole);
    assert_contains(box_ok("calls", f.show, "d", "--as", "vtt").out, whole);
    box_ok("publish", f.show, web);
    assert_contains(read_file(path_in(web, "trumpets.html"), NULL), whole);
    marks_then_undo();
}

/* And what stands there says how far people stand from their dots. */
static void a_mark_knows_where_it_is_on_the_field(void **state)
{
    (void)state;
    const size_t end = beat_of("3", 1);
    struct run who = box_ok("field", f.show, "d", "who", time_of(end), feet("T4", end));
    assert_contains(who.err, "people are taken to stand 0.5 step from their dots");
    static const char *const all[] = {"T1", "T2", "T4", "T6", "T8", "T9", "F1", "F2", "M1", "U1"};
    for (size_t i = 0; i < COUNT(all); i++) {
        const struct run r = box_ok("mark", f.show, "d", time_of(end), all[i], "horn angle", "--at",
                                    feet(all[i], end));
        assert_contains(r.err, say("%s, horn angle at side", all[i]));
    }
    box_ok("mark", f.show, "d", time_of(end), "T3;T7", "horn angle", "--at", feet("T3", end));
    const json_t *m = row(box_json("calls", f.show, "d"), 0);
    const json_t *at =
        row(json_object_get(row_with(json_object_get(f.truth, "performers"), "label", "T1"), "at"),
            end);
    assert_true(fabs(number_at(m, "across") - json_number_value(row(at, 0))) < 0.2);
    assert_true(fabs(number_at(m, "depth") - json_number_value(row(at, 1))) < 0.2);
    assert_true(null_at(m, "measure"));
    who = box_ok("field", f.show, "d", "who", time_of(end), feet("T4", end));
    assert_contains(who.err, "people of this clip stand 0.3 step from their dots, learnt from 10");
    refused(box("mark", f.show, "d", "5", "T1", "horn angle", "--at", "480,2"), 3, "off the field");
    refused(box("mark", f.show, "d", "5", "T1", "horn angle", "--at", "480,900"), 3,
            "outside the picture, which is 960 x 540 pixels");
    refused(box("mark", f.show, "d", "5", "T1", "horn angle", "--at", "480"), 2, "is no pixel");
    assert_int_equal(json_array_size(box_json("calls", f.show, "d")), COUNT(all) + 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_gap_that_closes_is_marked_with_both_who_make_it),
        cmocka_unit_test(everybody_off_the_line_has_a_mark_and_they_are_one_step),
        cmocka_unit_test(who_is_out_of_place_is_marked_and_nobody_else),
        cmocka_unit_test(a_step_size_is_held_against_the_dots_or_what_is_said),
        cmocka_unit_test(who_is_not_clear_is_not_marked),
        cmocka_unit_test(every_list_says_the_same_of_it),
        cmocka_unit_test(a_mark_knows_where_it_is_on_the_field),
    };
    return cmocka_run_group_tests_name("what is measured becomes marks", tests, make, drop);
}
