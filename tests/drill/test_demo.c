/* The invented band's clip, of which the truth is known: where sets begin, when beats sound. */
#include "drill/drill.h"

enum { FRAME_MS = 33 }; /* of the clip as demo/start.sh makes it, 30 a second */

struct filmed {
    const char *show;
    json_t *truth;
};

static struct filmed film(const char *name, const char *options)
{
    struct filmed f = {.show = new_show(NULL, NULL)};
    const char *band = getenv("DEMO_BAND"), *dir = temp_dir(), *clip = path_in(dir, "clip.mp4"),
               *truth = path_in(dir, "truth.json");
    static const char *const tables[] = {"sections", "faults", "roster", "sets", "dots"};
    for (size_t i = 0; i < COUNT(tables); i++)
        box_ok("add", f.show, tables[i], say("%s/%s.csv", band, tables[i]));
    well(run("sh", "-c",
             say("exec '%s' --size 64x64 --preset ultrafast --bframes 0 --out '%s' --truth '%s' %s",
                 getenv("DEMO_CLIP"), clip, truth, options),
             NULL));
    add_clip(f.show, clip, name, "2026-08-01");
    f.truth = json_load_file(truth, 0, NULL);
    assert_non_null(f.truth);
    return f;
}

static struct filmed whole;

static int make_whole(void **state)
{
    (void)state;
    whole = film("d", "--fps 6");
    return 0;
}

static int drop_whole(void **state)
{
    (void)state;
    json_decref(whole.truth);
    return 0;
}

static void untie_all(const struct filmed *f)
{
    const json_t *ties = box_json("count", f->show, "d", "ties");
    for (size_t i = 0; i < json_array_size(ties); i++)
        box_ok("count", f->show, "d", "untie", say("%.3f", number_at(row(ties, i), "ms") / 1000));
}

static double begins(const struct filmed *f, const char *set)
{
    return number_at(row_with(json_object_get(f->truth, "sets"), "set", set), "start_ms");
}

/* Every set begins within a frame of the truth. */
static void sets_begin_where_they_do(const struct filmed *f)
{
    const json_t *sets = json_object_get(f->truth, "sets");
    for (size_t i = 0; i < json_array_size(sets); i++) {
        const char *set = text_at(row(sets, i), "set");
        const double ms = number_at(box_json("count", f->show, "d", "when", set), "ms");
        if (fabs(ms - number_at(row(sets, i), "start_ms")) > FRAME_MS)
            fail_msg("set %s at %.0f ms, not %.0f", set, ms, number_at(row(sets, i), "start_ms"));
    }
}

static void two_ties_place_every_set_within_a_frame(void **state)
{
    (void)state;
    static const char *const pairs[][2] = {{"1", "13"}, {"3", "11"}, {"2", "9"}};
    for (size_t i = 0; i < COUNT(pairs); i++) {
        untie_all(&whole);
        for (size_t k = 0; k < 2; k++) /* as a person reads it off, to a hundredth of a second */
            box_ok("count", whole.show, "d", "tie", say("%.2f", begins(&whole, pairs[i][k]) / 1000),
                   pairs[i][k]);
        if (i == 0)
            sets_begin_where_they_do(&whole);
        assert_true(fabs(number_at(box_json("count", whole.show, "d", "when", "8A"), "ms") -
                         begins(&whole, "8A")) < FRAME_MS);
    }
}

static void three_taps_place_every_set_within_a_frame(void **state)
{
    (void)state;
    const json_t *beats = json_object_get(whole.truth, "beats");
    char taps[100] = "";
    untie_all(&whole);
    for (size_t i = 0; i < 3; i++) {
        static const double scatter_ms[] = {12, -9, 6};
        sprintf(taps + strlen(taps), "%.3f\n",
                (number_at(row(beats, i), "ms") + scatter_ms[i]) / 1000);
    }
    well(run_in(taps, "boxcall", "count", whole.show, "d", "taps", "-", "--set", "1", "--accept",
                NULL));
    sets_begin_where_they_do(&whole);
}

static double expected_bpm(const json_t *set, double ms)
{
    /* Linear in counts, so exponential in time (design, section 4: solve for b at t). */
    const double b0 = number_at(set, "tempo"), b1 = number_at(set, "tempo_end");
    return b0 * exp((b1 - b0) / number_at(set, "counts") * ms / 60000);
}

/* Share of the true beats that have a found one within 30 ms. */
static double beats_met(const struct filmed *f, const json_t *found)
{
    const json_t *beats = json_object_get(f->truth, "beats"),
                 *mine = json_object_get(found, "beats");
    size_t met = 0;
    for (size_t i = 0; i < json_array_size(beats); i++) {
        bool near = false;
        for (size_t k = 0; k < json_array_size(mine); k++)
            near |= fabs(json_number_value(row(mine, k)) - number_at(row(beats, i), "ms")) <= 30;
        met += near;
    }
    return (double)met / (double)json_array_size(beats);
}

/* The tempo of one set: the mean of what is said inside it, away from where the tempo leaps. */
static double tempo_off(const struct filmed *f, const json_t *found, const char *label)
{
    const json_t *set = row_with(json_object_get(f->truth, "sets"), "set", label),
                 *bpm = json_object_get(found, "bpm");
    const double from = number_at(set, "start_ms"), to = number_at(set, "end_ms"),
                 margin = 2 * 60000 / number_at(set, "tempo_end");
    double worst = 0;
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(bpm); i++) {
        const double ms = number_at(row(bpm, i), "ms");
        if (ms < from + margin || ms > to - margin)
            continue;
        worst = fmax(worst, fabs(number_at(row(bpm, i), "bpm") / expected_bpm(set, ms - from) - 1));
        n++;
    }
    assert_true(n >= 4);
    return worst;
}

static const json_t *listen(const struct filmed *f)
{
    const double feet = number_at(json_object_get(f->truth, "sound"), "distance_ft");
    return box_json("count", f->show, "d", "beats", "--distance", say("%.2fft", feet));
}

static void beats_are_heard_where_they_are_with_and_without_ties(void **state)
{
    (void)state;
    untie_all(&whole);
    const json_t *found = listen(&whole);
    assert_true(beats_met(&whole, found) >= 0.95);
    assert_true(number_at(found, "confidence") > 0.5 && number_at(found, "confidence") <= 1);
    static const char *const steady[] = {"1", "2", "3", "6", "7", "9", "11"};
    for (size_t i = 0; i < COUNT(steady) - 1; i++)
        if (i != 3 && i != 5)
            assert_true(tempo_off(&whole, found, steady[i]) < 0.005);
    box_ok("count", whole.show, "d", "tie", say("%.3f", begins(&whole, "1") / 1000), "1");
    box_ok("count", whole.show, "d", "tie", say("%.3f", begins(&whole, "13") / 1000), "13");
    found = listen(&whole);
    assert_true(beats_met(&whole, found) >= 0.95);
    static const char *const all[] = {"2", "3", "5", "6", "7", "9", "10", "11"}; /* 5, 10: ramps */
    for (size_t i = 0; i < COUNT(all); i++)
        if (tempo_off(&whole, found, all[i]) >= 0.005)
            fail_msg("set %s: tempo off by %.4f", all[i], tempo_off(&whole, found, all[i]));
    assert_int_equal(json_array_size(json_object_get(found, "bpm")),
                     json_array_size(json_object_get(found, "beats")));
}

static void without_the_distance_beats_are_as_late_as_sound_is(void **state)
{
    (void)state;
    /* 1121.1 ft/s would be 20 C by J. O. Smith, Physical Audio Signal Processing (1124.1); here the
     * clip's own truth says by how much. */
    const double delay = number_at(json_object_get(whole.truth, "sound"), "delay_ms");
    const json_t *near = listen(&whole), *far = box_json("count", whole.show, "d", "beats");
    const json_t *a = json_object_get(near, "beats"), *b = json_object_get(far, "beats");
    assert_int_equal(json_array_size(a), json_array_size(b));
    assert_true(fabs(json_number_value(row(b, 0)) - json_number_value(row(a, 0)) - delay) < 1);
}

static void jittering_frames_change_neither_ties_nor_beats(void **state)
{
    (void)state;
    struct filmed f = film("d", "--fps 12 --sets 3 --vfr");
    assert_true(json_is_true(json_object_get(json_object_get(f.truth, "clip"), "fps_varies")));
    box_ok("count", f.show, "d", "tie", say("%.2f", begins(&f, "1") / 1000), "1");
    box_ok("count", f.show, "d", "tie", say("%.2f", begins(&f, "3") / 1000), "3");
    sets_begin_where_they_do(&f);
    assert_true(beats_met(&f, listen(&f)) >= 0.95);
    json_decref(f.truth);
}

static void beats_come_as_text_and_csv_too(void **state)
{
    (void)state;
    const char *csv = box_ok("count", whole.show, "d", "beats", "--as", "csv").out;
    assert_true(csv_rows(csv) > 150);
    assert_string_equal(csv_at(csv, 0, 1), "bpm");
    tame(box_ok("count", whole.show, "d", "beats").out);
    box_ok("count", whole.show, "d", "beats", "--bpm", "131.5"); /* a tempo has decimals */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_ties_place_every_set_within_a_frame),
        cmocka_unit_test(three_taps_place_every_set_within_a_frame),
        cmocka_unit_test(beats_are_heard_where_they_are_with_and_without_ties),
        cmocka_unit_test(without_the_distance_beats_are_as_late_as_sound_is),
        cmocka_unit_test(jittering_frames_change_neither_ties_nor_beats),
        cmocka_unit_test(beats_come_as_text_and_csv_too),
    };
    return cmocka_run_group_tests(tests, make_whole, drop_whole);
}
