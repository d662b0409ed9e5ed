/* Ties, places and taps from the command line, on clips without a band. */
#include "drill/drill.h"

static const char *show;

/* A show of even sets with a gray clip of two minutes. */
static const char *fresh(void)
{
    show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    return show;
}

static const json_t *at(const char *time)
{
    return box_json("count", show, "run", "at", time);
}

static void is_at(const char *time, int stretch, const char *set, double count)
{
    const json_t *o = at(time);
    if (!text_at(o, "set"))
        fail_msg("%s is in no set", time);
    assert_string_equal(text_at(o, "set"), set);
    assert_true(fabs(number_at(o, "count") - count) < 1e-3);
    assert_int_equal(number_at(o, "stretch"), stretch);
}

static void nowhere(const char *time)
{
    static const char *const keys[] = {"stretch", "set", "count", "counts", "bpm", "ratio"};
    const json_t *o = at(time);
    for (size_t i = 0; i < COUNT(keys); i++)
        assert_true(null_at(o, keys[i]));
    assert_true(json_is_number(json_object_get(o, "ms")));
}

static void a_time_is_a_set_and_a_decimal_count_from_one(void **state)
{
    (void)state;
    fresh();
    box_ok("count", show, "run", "tie", "10", "1");
    const json_t *o = at("12.25"); /* by hand: 2.25 s of half a second each, counts from 1 */
    assert_true(number_at(o, "ms") == 12250 && number_at(o, "counts") == 16);
    assert_true(number_at(o, "bpm") == 120 && number_at(o, "ratio") == 1);
    is_at("12.25", 1, "1", 5.5);
    is_at("0:18", 1, "2", 1);
    is_at("41.999", 1, "4", 16.998);
    nowhere("9.9");
    nowhere("60");
}

static void a_set_and_count_are_a_time(void **state)
{
    (void)state;
    fresh();
    box_ok("count", show, "run", "tie", "10", "1");
    assert_true(number_at(box_json("count", show, "run", "when", "3"), "ms") == 26000);
    assert_true(number_at(box_json("count", show, "run", "when", "3", "2.5"), "ms") == 26750);
    box_ok("count", show, "run", "untie", "10");
    const json_t *o = box_json("count", show, "run", "when", "3");
    assert_true(null_at(o, "ms") && null_at(o, "set"));
}

static void between_two_ties_the_written_tempo_is_stretched_to_meet_both(void **state)
{
    (void)state;
    fresh();
    box_ok("count", show, "run", "tie", "10", "1");
    box_ok("count", show, "run", "tie", "27.6", "3"); /* 17.6 s for 16 written: 10 % slower */
    const json_t *o = at("14.4");
    is_at("14.4", 1, "1", 9);
    assert_true(fabs(number_at(o, "ratio") - 16 / 17.6) < 1e-6);
    assert_true(fabs(number_at(o, "bpm") - 120 * 16 / 17.6) < 1e-5);
    is_at("31.6", 1, "3", 9); /* past the last tie as written again */
    assert_true(number_at(at("31.6"), "ratio") == 1);
}

static void a_restart_begins_a_stretch_of_its_own(void **state)
{
    (void)state;
    fresh();
    box_ok("count", show, "run", "tie", "10", "1");
    box_ok("count", show, "run", "tie", "26", "3");
    /* 'from set 2', or a slip of the hand: nobody is there to be asked */
    refused(box("count", show, "run", "tie", "60", "2"), 3,
            "set 2, count 1 at 1:00.0 cannot be one run with set 3, count 1 at 0:26.0 at anything "
            "like the written tempo; say --break if a new run of the drill begins there");
    assert_int_equal(json_array_size(box_json("count", show, "run", "ties")), 2);
    const struct run r = box_ok("count", show, "run", "tie", "60", "2", "--break");
    assert_contains(r.err, "2 runs of the drill");
    is_at("26.5", 1, "3", 2);
    is_at("60.5", 2, "2", 2);
    is_at("68", 2, "3", 1);
    const json_t *o = box_json("count", show, "run", "when", "3"), *all = json_object_get(o, "all");
    assert_int_equal(json_array_size(all), 2);
    assert_true(number_at(row(all, 0), "ms") == 26000 && number_at(row(all, 1), "ms") == 68000);
}

static void a_clip_may_begin_in_the_middle_of_the_show(void **state)
{
    (void)state;
    fresh();
    box_ok("count", show, "run", "tie", "3", "3", "9");
    is_at("0", 1, "3", 3); /* six counts before */
    is_at("7", 1, "4", 1);
}

static void holds_and_sets_without_counts_take_their_time_and_no_count(void **state)
{
    (void)state;
    show = new_show("set,counts,tempo,hold\n1,8,120,\n2,0,120,3\n3,8,120,2\n4,8,120,\n", NULL);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    is_at("13.75", 1, "1", 8.5);
    is_at("15", 1, "2", 1);
    assert_true(null_at(at("15"), "bpm") && number_at(at("15"), "counts") == 0);
    is_at("17", 1, "3", 1);
    is_at("22", 1, "3", 9); /* the hold: no counts run */
    is_at("23", 1, "4", 1);
}

static void over_a_ritardando_counts_follow_the_integral_of_the_tempo(void **state)
{
    (void)state;
    show = new_show("set,counts,tempo,tempo_end\n1,16,160,96\n2,8,96,\n", NULL);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    /* Simpson's rule over seconds a count = 60 / bpm, bpm linear in counts (design, section 4). */
    static const struct {
        const char *set, *count;
        double counts;
    } rows[] = {{"1", "5", 4}, {"1", "9", 8}, {"1", "16", 15}, {"2", "1", 16}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const int n = 1000;
        double sum = 0;
        for (int k = 0; k <= n; k++)
            sum += (k == 0 || k == n ? 1
                    : k % 2          ? 4
                                     : 2) *
                   60 / (160 - 64 * rows[i].counts * k / n / 16);
        const double ms = 10000 + 1000 * sum * rows[i].counts / n / 3;
        const json_t *o = box_json("count", show, "run", "when", rows[i].set, rows[i].count);
        if (fabs(number_at(o, "ms") - ms) > 0.01)
            fail_msg("count %s: %.3f, not %.3f", rows[i].count, number_at(o, "ms"), ms);
    }
}

static void ties_and_places_come_as_text_csv_and_json(void **state)
{
    (void)state;
    fresh();
    box_ok("count", show, "run", "tie", "10", "1");
    box_ok("count", show, "run", "tie", "30", "3");
    const json_t *list = box_json("count", show, "run", "ties");
    assert_int_equal(json_array_size(list), 2);
    assert_true(number_at(row(list, 1), "ms") == 30000);
    assert_string_equal(text_at(row(list, 1), "set"), "3");
    for (size_t i = 0; i < 2; i++)
        assert_true(number_at(row(list, i), "stretch") == 1);
    const char *csv = box_ok("count", show, "run", "ties", "--as", "csv").out;
    assert_int_equal(csv_rows(csv), 3);
    assert_string_equal(csv_at(csv, 1, 0), "10000.000");
    static const char *const times[] = {"2", "12"};
    for (size_t i = 0; i < 2; i++) {
        csv = box_ok("count", show, "run", "at", times[i], "--as", "csv").out;
        assert_int_equal(csv_rows(csv), 2);
        assert_string_equal(csv_at(csv, 0, 2), "set");
        assert_string_equal(csv_at(csv, 1, 2), i ? "1" : "");
    }
    tame(box_ok("count", show, "run", "at", "12").out);
    /* a count begins when it begins: it is not 2 yet */
    assert_contains(box_ok("count", show, "run", "at", "10.6231").out, "set 1, count 1.99 of 16");
}

/* --- marks ----------------------------------------------------------------------------------- */

static void marked(size_t i, const char *set, double count)
{
    const json_t *m = row(box_json("calls", show, "run"), i);
    if (!set) {
        assert_true(null_at(m, "set") && null_at(m, "count"));
        return;
    }
    assert_string_equal(text_at(m, "set"), set);
    assert_true(fabs(number_at(m, "count") - count) < 0.01);
}

static void marks_follow_ties_tempos_and_unties_at_once(void **state)
{
    (void)state;
    fresh();
    box_ok("mark", show, "run", "20", "trumpets", "horn angle");
    marked(0, NULL, 0);
    box_ok("count", show, "run", "tie", "10", "1");
    marked(0, "2", 5);
    box_ok("count", show, "run", "tie", "27", "3"); /* a second slower: in the same set still */
    marked(0, "2", 1 + 10 / (17 / 32.0) - 16);
    box_ok("count", show, "run", "untie", "27");
    box_ok("mark", show, "run", "27", "T1", "horn angle"); /* made later */
    marked(1, "3", 3);
    const json_t *item = row(json_object_get(box_json("fixes", show), "items"), 0);
    assert_string_equal(json_string_value(row(json_object_get(item, "sets"), 0)), "2");
    assert_string_equal(text_at(row(json_object_get(item, "moments"), 1), "set"), "3");
    /* Half the tempo: sixteen seconds a set. */
    well(run_in("set,counts,tempo\n1,16,60\n2,16,60\n3,16,60\n4,16,60\n", "boxcall", "add", show,
                "sets", "-", NULL));
    marked(0, "1", 11);
    marked(1, "2", 2);
    box_ok("count", show, "run", "untie", "10");
    marked(0, NULL, 0);
    marked(1, NULL, 0);
}

/* --- taps ------------------------------------------------------------------------------------ */

static struct run tap(const char *taps)
{
    return run_in(taps, "boxcall", "count", show, "run", "taps", "-", "--set", "1", "--accept",
                  NULL);
}

static void three_taps_tie_a_clip(void **state)
{
    (void)state;
    fresh();
    well(tap("10.004\n10.498\n11.001\n"));
    const json_t *o = box_json("count", show, "run", "when", "2");
    assert_true(fabs(number_at(o, "ms") - 18000) < 33); /* a frame at 30 a second */
}

static void taps_are_read_from_a_file_or_standard_input(void **state)
{
    (void)state;
    fresh();
    static const char taps[] = "# tapped along\n0:10.0\n10.5\n\n11.0\r\n11.5\n";
    const char *file = write_file(temp_dir(), "taps.txt", taps);
    const json_t *a = box_json("count", show, "run", "taps", file);
    const json_t *b =
        json_of(run_in(taps, "boxcall", "count", show, "run", "taps", "-", "--as", "json", NULL));
    assert_true(json_equal(a, b));
    assert_true(fabs(number_at(a, "bpm") - 120) < 1e-6 && number_at(a, "used") == 4);
    assert_true(fabs(number_at(a, "ms") - 10000) < 1e-3);
    assert_int_equal(json_array_size(box_json("count", show, "run", "ties")), 0);
    assert_int_equal(csv_rows(box_ok("count", show, "run", "taps", file, "--as", "csv").out), 2);
}

/* Taps made to what is heard in the clip are as late as its sound: 343.2 m/s at 20 C, 318.9 at
 * -20 C (tables of the speed of sound in dry air, from memory). */
static void taps_to_the_sound_are_put_back_by_its_way(void **state)
{
    (void)state;
    static const char taps[] = "10\n10.5\n11\n11.5\n";
    fresh();
    const char *file = write_file(temp_dir(), "taps.txt", taps);
    const json_t *here = box_json("count", show, "run", "taps", file),
                 *far = box_json("count", show, "run", "taps", file, "--distance", "60m"),
                 *cold = box_json("count", show, "run", "taps", file, "--distance", "60m",
                                  "--temperature", "-20C");
    assert_true(fabs(number_at(here, "ms") - number_at(far, "ms") - 60 / 0.3432) < 1);
    assert_true(fabs(number_at(here, "ms") - number_at(cold, "ms") - 60 / 0.3189) < 1);
    assert_true(number_at(here, "bpm") == number_at(far, "bpm"));
    box_ok("count", show, "run", "taps", file, "--distance", "60m", "--set", "1", "--accept");
    const json_t *tied = box_json("count", show, "run", "when", "1");
    assert_true(fabs(number_at(tied, "ms") - (10000 - 60 / 0.3432)) < 1);
    refused(box("count", show, "run", "taps", file, "--distance", "60"), 3, "in which unit?");
}

/* --- what is refused ------------------------------------------------------------------------- */

static void what_cannot_be_is_refused_and_nothing_is_stored(void **state)
{
    (void)state;
    fresh();
    box_ok("count", show, "run", "tie", "10", "1");
    box_ok("mark", show, "run", "12", "trumpets", "horn angle");
    const json_t *ties = box_json("count", show, "run", "ties"),
                 *calls = box_json("calls", show, "run");
    static const struct {
        const char *words[5];
        int status;
        const char *says;
    } rows[] = {
        {{"tie", "10", "3"}, 3, "untie it first"},
        {{"tie", "11", "3"}, 3, "out of order"},
        {{"tie", "9.5", "2"}, 3, "out of order"},
        {{"tie", "20", "1O"}, 3, "did you mean '1'?"},
        {{"tie", "20", "2", "18"}, 3, "set 2 has 16 counts; there is no count 18"},
        {{"tie", "20", "2", "0.5"}, 3, "there is no count 0.5"},
        {{"tie", "20", "2", "five"}, 3, "'five' is not a count"},
        {{"tie", "20", "2", "nan"}, 3, "'nan' is not a count"},
        {{"tie", "121", "2"}, 3, "outside the clip"},
        {{"tie", "soon", "2"}, 3, "soon: not a time"},
        {{"tie", "20"}, 2, "usage"},
        {{"untie", "50"}, 3, "no tie at 50"},
        {{"at", "121"}, 3, "past the end of clip 'run'"},
        {{"when", "2", "18"}, 3, "there is no count 18"},
        {{"when", "7"}, 3, "no set '7'"},
        {{"taps", "no-such-file"}, 3, "no-such-file: there is no such file"},
        {{"teis"}, 2, "did you mean 'ties'?"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *const *w = rows[i].words;
        refused(run("boxcall", "count", show, "run", w[0], w[1], w[2], w[3], NULL), rows[i].status,
                rows[i].says);
    }
    refused(box("count", show, "ran", "ties"), 3, "did you mean 'run'?");
    assert_true(json_equal(ties, box_json("count", show, "run", "ties")));
    assert_true(json_equal(calls, box_json("calls", show, "run")));
}

static void taps_that_say_nothing_tie_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *taps, *says;
    } rows[] = {
        {"", "0 taps: tap the beat 3 times or more"},
        {"10\n10.5\n", "2 taps"},
        {"10\n10.001\n10.002\n10.003\n", "4 taps within a moment"},
        {"10\n10\n10\n", "3 taps within a moment"},
        {"10\n10.5\nbeat\n11.5\n", "stdin:3: beat: not a time"},
        {"10\n10.4\n10.5\n11.3\n11.4\n13\n13.3\n", "no steady beat"},
    };
    fresh();
    for (size_t i = 0; i < COUNT(rows); i++)
        refused(tap(rows[i].taps), 3, rows[i].says);
    refused(
        run_in("10\n10.5\n11\n", "boxcall", "count", show, "run", "taps", "-", "--set", "9", NULL),
        3, "no set '9'");
    refused(
        run_in("10\n10.5\n11\n", "boxcall", "count", show, "run", "taps", "-", "--accept", NULL), 2,
        "--set");
    assert_int_equal(json_array_size(box_json("count", show, "run", "ties")), 0);
}

/* An option that would do nothing is a mistake, and said. */
static void an_option_of_another_kind_of_count_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *words[7], *says;
    } rows[] = {
        {{"at", "10", "--set", "2"}, "count at: takes no --set; it is for taps"},
        {{"at", "10", "--distance", "60m"},
         "count at: takes no --distance; it is for taps and "
         "beats"},
        {{"when", "1", "--break"}, "count when: takes no --break; it is for tie and taps"},
        {{"ties", "--bpm", "120"}, "count ties: takes no --bpm; it is for beats"},
        {{"tie", "10", "1", "--accept"}, "count tie: takes no --accept; it is for taps"},
        {{"tie", "10", "1", "--as", "json"},
         "count tie: takes no --as; it is for ties, at, when, "
         "taps and beats"},
        {{"untie", "10", "--halt"}, "count untie: takes no --halt; it is for tie and taps"},
        {{"beats", "--count", "3"}, "count beats: takes no --count; it is for taps"},
        {{"taps", "-", "--bpm", "120"}, "count taps: takes no --bpm; it is for beats"},
        {{"taps", "-", "--from"}, "count taps: --from needs --accept"},
        {{"taps", "-", "--temperature", "20C"}, "count taps: --temperature needs --distance"},
        {{"beats", "--temperature", "20C"}, "count beats: --temperature needs --distance"},
        {{"beats", "--bpm", "29.9"}, "--bpm '29.9' is no tempo from 30 to 400"},
        {{"beats", "--bpm", "132,5"}, "write 132 or 132.5"},
        {{"beats", "--bpm", "nan"}, "--bpm 'nan' is no tempo"},
    };
    fresh();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *const *w = rows[i].words;
        refused(run("boxcall", "count", show, "run", w[0], w[1], w[2], w[3], w[4], w[5], NULL), 2,
                rows[i].says);
    }
    assert_int_equal(json_array_size(box_json("count", show, "run", "ties")), 0);
}

static void a_show_without_sets_says_what_to_add(void **state)
{
    (void)state;
    show = new_show(NULL, NULL);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    refused(box("count", show, "run", "tie", "10", "1"), 3, "add SHOW sets FILE");
    nowhere("10");
}

static void clips_in_which_no_beat_is_heard_say_why(void **state)
{
    (void)state;
    static const struct {
        const char *sound, *says;
    } rows[] = {
        {NULL, "has no sound; tap the beat instead"},
        {"anullsrc=r=8000:cl=mono", "no beat to be heard"},
        {"anoisesrc=r=22050:a=0.3:seed=1", "no steady beat to be heard"},
    };
    fresh();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *path = gray_clip(20), *label = say("sound %zu", i);
        if (rows[i].sound) {
            path = path_in(temp_dir(), "sound.mp4");
            well(run("ffmpeg", "-nostdin", "-v", "error", "-i", gray_clip(20), "-f", "lavfi", "-i",
                     rows[i].sound, "-t", "20", "-c:v", "copy", "-c:a", "aac", path, NULL));
        }
        add_clip(show, path, label, "2026-08-01");
        refused(box("count", show, label, "beats"), 3, rows[i].says);
        assert_int_equal(json_array_size(box_json("count", show, label, "ties")), 0);
    }
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_time_is_a_set_and_a_decimal_count_from_one);
    case_test(&all, a_set_and_count_are_a_time);
    case_test(&all, between_two_ties_the_written_tempo_is_stretched_to_meet_both);
    case_test(&all, a_restart_begins_a_stretch_of_its_own);
    case_test(&all, a_clip_may_begin_in_the_middle_of_the_show);
    case_test(&all, holds_and_sets_without_counts_take_their_time_and_no_count);
    case_test(&all, over_a_ritardando_counts_follow_the_integral_of_the_tempo);
    case_test(&all, ties_and_places_come_as_text_csv_and_json);
    case_test(&all, marks_follow_ties_tempos_and_unties_at_once);
    case_test(&all, three_taps_tie_a_clip);
    case_test(&all, taps_are_read_from_a_file_or_standard_input);
    case_test(&all, taps_to_the_sound_are_put_back_by_its_way);
    case_test(&all, an_option_of_another_kind_of_count_is_refused);
    case_test(&all, what_cannot_be_is_refused_and_nothing_is_stored);
    case_test(&all, taps_that_say_nothing_tie_nothing);
    case_test(&all, a_show_without_sets_says_what_to_add);
    case_test(&all, clips_in_which_no_beat_is_heard_say_why);
    return cases_run(&all, "sets and counts");
}
