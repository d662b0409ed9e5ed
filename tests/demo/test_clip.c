/* The clip, as libavformat and libavcodec see it. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "demo/watch.h"
#include "lib/run.h"

#define SMALL "--size 320x180 --preset ultrafast --bars "

static void a_clip_has_the_pictures_rate_length_and_sound_asked_for(void **state)
{
    (void)state;
    static const struct {
        const char *options;
        int num, den;
        size_t frames; /* whole frames within that time */
        bool sound;
    } cases[] = {
        {SMALL "--seconds 4", 30, 1, 120, true},
        {SMALL "--seconds 4 --fps 30000/1001", 30000, 1001, 119, true},
        {SMALL "--seconds 1.5 --fps 60 --no-sound", 60, 1, 90, false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct made m = make_clip(cases[i].options);
        const struct watched w = watch(m.clip);
        assert_string_equal(w.codec, "h264");
        assert_int_equal(w.width, 320);
        assert_int_equal(w.height, 180);
        assert_int_equal(w.n_frames, cases[i].frames);
        assert_int_equal(w.fps_num, cases[i].num);
        assert_int_equal(w.fps_den, cases[i].den);
        const double length_us = 1e6 * (double)cases[i].frames * cases[i].den / cases[i].num;
        assert_true(fabs((double)w.length_us - length_us) <= 1);
        assert_true(w.reorders); /* B-frames */
        assert_int_equal(w.sound_codec != NULL, cases[i].sound);
        if (cases[i].sound)
            assert_true(fabs((double)w.sound_us - length_us) < 1e6 * 1024 / 48000);
        const json_t *clip = json_object_get(m.json, "clip");
        assert_int_equal(json_number_at(clip, "frames"), cases[i].frames);
    }
}

static void every_frame_carries_its_number_and_comes_at_its_time(void **state)
{
    (void)state;
    static const char *const options[] = {
        SMALL "--seconds 2",
        SMALL "--seconds 2 --fps 30000/1001 --gop 500",
        SMALL "--seconds 2 --vfr",
    };
    for (size_t i = 0; i < 3; i++) {
        const struct made m = make_clip(options[i]);
        const struct watched w = watch(m.clip);
        const json_t *clip = json_object_get(m.json, "clip");
        const json_t *times = json_object_get(clip, "frame_us"),
                     *fps = json_object_get(clip, "fps");
        const double num = json_number_value(json_array_get(fps, 0));
        const double den = json_number_value(json_array_get(fps, 1));
        for (size_t k = 0; k < w.n_frames; k++) {
            const double due =
                times ? json_number_value(json_array_get(times, k)) : 1e6 * (double)k * den / num;
            assert_int_equal(w.frame[k].bars, k);
            assert_true(fabs((double)w.frame[k].us - due) <= 1);
        }
    }
}

static void jittered_times_keep_their_order_and_are_not_even(void **state)
{
    (void)state;
    const struct watched w = watch(make_clip(SMALL "--seconds 2 --vfr").clip);
    int64_t least = INT64_MAX, most = 0;
    for (size_t k = 1; k < w.n_frames; k++) {
        const int64_t gap = w.frame[k].us - w.frame[k - 1].us;
        least = gap < least ? gap : least;
        most = gap > most ? gap : most;
    }
    assert_true(least > 10000);
    assert_true(most - least > 15000);
}

static void key_frames_and_reordering_follow_the_options(void **state)
{
    (void)state;
    const struct watched w = watch(make_clip(SMALL "--seconds 2 --gop 12 --bframes 0").clip);
    assert_false(w.reorders);
    for (size_t k = 0; k < w.n_frames; k++)
        assert_int_equal(w.frame[k].key, k % 12 == 0);
}

static void clicks_are_heard_when_the_truth_says_so(void **state)
{
    (void)state;
    const struct made m = make_clip(SMALL "--seconds 9 --fps 10");
    const struct watched w = watch(m.clip);
    const json_t *beats = json_object_get(m.json, "beats");
    size_t n = 0;
    for (size_t i = 0; i < w.n_pcm; i++) {
        if (fabsf(w.pcm[i]) < 0.12f)
            continue;
        const double ms = 1000.0 * (double)i / w.rate;
        const double due = json_number_at(json_array_get(beats, n++), "heard_ms");
        if (fabs(ms - due) > 5)
            fail_msg("click %zu at %.2f ms, due at %.2f", n, ms, due);
        i += (size_t)w.rate / 5; /* past the rest of this click */
    }
    assert_true(n >= 15);
    assert_true(n + 1 >= json_array_size(beats)); /* the last may be cut */
}

static void sound_comes_late_by_its_way_through_the_air(void **state)
{
    (void)state;
    /* c(T) from the table of check values made with 331.3 sqrt(1 + T/273.15); J. O. Smith, Physical
     * Audio Signal Processing, gives 1124.1 ft/s at 20 C and 1085.1 at 0 C: within 0.3 %. */
    static const struct {
        const char *options;
        double c_m_s, published_m_s;
    } cases[] = {
        {"--size 64x64 --fps 1 --seconds 3", 343.21, 1124.1 * 0.3048},
        {"--size 64x64 --fps 1 --seconds 3 --temperature 0", 331.30, 1085.1 * 0.3048},
        {"--size 64x64 --fps 1 --seconds 3 --temperature 35", 351.87, 351.87462},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct made m = make_clip(cases[i].options);
        const json_t *sound = json_object_get(m.json, "sound");
        const json_t *from = json_object_get(sound, "source_ft");
        const json_t *to = json_object_get(json_object_get(m.json, "camera"), "position_ft");
        double square = 0;
        for (size_t k = 0; k < 3; k++)
            square += pow(json_number_value(json_array_get(from, k)) -
                              json_number_value(json_array_get(to, k)),
                          2);
        const double meters = sqrt(square) * 0.3048;
        const json_t *beat = json_array_get(json_object_get(m.json, "beats"), 0);
        const double late = json_number_at(beat, "heard_ms") - json_number_at(beat, "ms");
        if (i < 2)
            assert_true(fabs(late - 1000 * meters / cases[i].c_m_s) < 0.02);
        assert_true(fabs(late * cases[i].published_m_s / (1000 * meters) - 1) < 0.003);
    }
}

/* --- the camera ----------------------------------------------------------------------------- */

struct spot {
    double u, v;
};

/* Middle of what is nearly white within `reach` pixels; -1 when too little is. */
static struct spot white_middle(const struct watched *w, struct spot near, int reach)
{
    double n = 0, u = 0, v = 0;
    for (int y = (int)near.v - reach; y <= (int)near.v + reach; y++) {
        for (int x = (int)near.u - reach; x <= (int)near.u + reach; x++) {
            const double weight = w->first[y * w->width + x] > 150;
            n += weight;
            u += weight * x;
            v += weight * y;
        }
    }
    return n < 6 ? (struct spot){-1, -1} : (struct spot){u / n, v / n};
}

static struct spot by_matrix(const json_t *camera, double x_ft, double y_ft)
{
    const json_t *p = json_object_get(camera, "feet_to_px");
    double q[3];
    for (size_t i = 0; i < 3; i++) {
        const json_t *r = json_array_get(p, i);
        q[i] = json_number_value(json_array_get(r, 0)) * x_ft +
               json_number_value(json_array_get(r, 1)) * y_ft +
               json_number_value(json_array_get(r, 3));
    }
    return (struct spot){q[0] / q[2], q[1] / q[2]};
}

/* The same from the documented pose by pan and tilt: turn to the aim, then look down. */
static struct spot by_pose(const json_t *camera, double x_ft, double y_ft)
{
    double at[3], aim[3];
    for (size_t i = 0; i < 3; i++) {
        at[i] = json_number_value(json_array_get(json_object_get(camera, "position_ft"), i));
        aim[i] = json_number_value(json_array_get(json_object_get(camera, "aim_ft"), i));
    }
    const double pan = atan2(aim[0] - at[0], aim[1] - at[1]);
    const double tilt = atan2(at[2], hypot(aim[0] - at[0], aim[1] - at[1]));
    const double x = (x_ft - at[0]) * cos(pan) - (y_ft - at[1]) * sin(pan);
    const double y = (x_ft - at[0]) * sin(pan) + (y_ft - at[1]) * cos(pan);
    const double deep = y * cos(tilt) + at[2] * sin(tilt);
    const double down = at[2] * cos(tilt) - y * sin(tilt);
    const double f = json_number_at(camera, "focal_px");
    const json_t *middle = json_object_get(camera, "principal_px");
    return (struct spot){json_number_value(json_array_get(middle, 0)) + f * x / deep,
                         json_number_value(json_array_get(middle, 1)) + f * down / deep};
}

static void field_marks_are_in_the_picture_where_the_camera_says(void **state)
{
    (void)state;
    /* The 25-yard lines where they meet the high-school hashes (53 ft 4 in from each sideline, NFHS
     * field diagram as widely published); nobody stands near them in the first form. */
    static const double crossing[4][2] = {
        {-75, 160 / 3.0}, {75, 160 / 3.0}, {-75, 320 / 3.0}, {75, 320 / 3.0}};
    static const char *const options[] = {
        "--seconds 0.1 --no-sound --quality 10",
        "--seconds 0.1 --no-sound --quality 10 --camera 75,130,60 --across -20 --focal 1.05"};
    for (size_t i = 0; i < 2; i++) {
        const struct made m = make_clip(options[i]);
        const struct watched w = watch(m.clip);
        const json_t *camera = json_object_get(m.json, "camera");
        for (size_t k = 0; k < 4; k++) {
            const struct spot p = by_matrix(camera, crossing[k][0], crossing[k][1]);
            const struct spot q = by_pose(camera, crossing[k][0], crossing[k][1]);
            assert_true(hypot(p.u - q.u, p.v - q.v) < 1e-6);
            const struct spot seen = white_middle(&w, p, 5);
            if (hypot(p.u - seen.u, p.v - seen.v) > 1)
                fail_msg("mark %zu should be at %.2f, %.2f and is at %.2f, %.2f", k, p.u, p.v,
                         seen.u, seen.v);
        }
    }
}

/* --- the same and not the same --------------------------------------------------------------- */

static void the_same_options_give_the_same_bytes(void **state)
{
    (void)state;
    const struct made a = make_clip(SMALL "--seconds 2"), b = make_clip(SMALL "--seconds 2");
    assert_same_file(a.truth, b.truth);
    assert_same_file(a.clip, b.clip);
}

static void options_at_their_defaults_change_nothing(void **state)
{
    (void)state;
    const struct made as = make_clip(SMALL "--seconds 1");
    const char *one = path_in(temp_dir(), "one.mp4");
    const struct run r =
        run(demo_clip, "--out", one, "--size", "320x180", "--preset", "ultrafast", "--bars",
            "--seconds", "1", "--threads", "1", "--crown", "0", "--lens", "0", "--roll", "0",
            "--toward", "0", "--pan", "0", "--zoom", "0", "--sway", "0", "--faded", "0", "--field",
            "high-school", "--blur", "0", "--contrast", "1", "--noise", "0", "--glare", "0",
            "--codec", "h264", "--turned", "0", "--from", "0", NULL);
    assert_quiet(r);
    assert_same_file(as.clip, one);
}

/* --- as phones store it ----------------------------------------------------------------------- */

/* The stored picture as the matrix of display shows it: (p, q) goes to (a p + c q, b p + d q), then
 * to where no coordinate is below 0 (ISO 14496-12, 8.3.2; a b u c d v x y w, 16.16). */
static const uint8_t *as_shown(const struct watched *w, int *width, int *height)
{
    int m[9], least_x = 0, least_y = 0;
    for (int i = 0; i < 9; i++)
        m[i] = w->matrix[i] / 65536;
    *width = abs(m[0] * w->width + m[3] * w->height);
    *height = abs(m[1] * w->width + m[4] * w->height);
    for (int corner = 0; corner < 4; corner++) {
        const int p = (corner & 1) * (w->width - 1), q = (corner >> 1) * (w->height - 1);
        least_x = m[0] * p + m[3] * q < least_x ? m[0] * p + m[3] * q : least_x;
        least_y = m[1] * p + m[4] * q < least_y ? m[1] * p + m[4] * q : least_y;
    }
    uint8_t *out = arena_alloc(test_arena(), (size_t)(*width * *height));
    for (int q = 0; q < w->height; q++)
        for (int p = 0; p < w->width; p++)
            out[(m[1] * p + m[4] * q - least_y) * *width + m[0] * p + m[3] * q - least_x] =
                w->first[q * w->width + p];
    return out;
}

static void a_turned_picture_is_shown_upright(void **state)
{
    (void)state;
#define EXACT "--size 320x180 --seconds 0.1 --no-sound --quality 0 --preset ultrafast "
    const struct watched upright = watch(make_clip(EXACT).clip);
    static const char *const options[] = {EXACT "--turned 90", EXACT "--turned 180",
                                          EXACT "--turned 270"};
    for (size_t i = 0; i < 3; i++) {
        int width, height;
        const struct watched w = watch(make_clip(options[i]).clip);
        assert_int_equal(w.width, i == 1 ? 320 : 180);
        const uint8_t *shown = as_shown(&w, &width, &height);
        assert_int_equal(width, 320);
        assert_int_equal(height, 180);
        assert_memory_equal(shown, upright.first, 320 * 180);
    }
}

static void hevc_shows_the_same_pictures(void **state)
{
    (void)state;
    const struct watched one = watch(make_clip(SMALL "--seconds 0.5 --quality 10").clip);
    const struct watched two =
        watch(make_clip(SMALL "--seconds 0.5 --quality 10 --codec hevc").clip);
    assert_string_equal(two.codec, "hevc");
    assert_int_equal(two.n_frames, one.n_frames);
    for (size_t k = 0; k < two.n_frames; k++)
        assert_true(two.frame[k].bars == (long)k && two.frame[k].us == one.frame[k].us);
    double off = 0;
    for (int i = 0; i < 320 * 180; i++)
        off += abs(one.last[i] - two.last[i]) / (320.0 * 180);
    assert_true(off < 3);
}

static void other_options_give_another_truth(void **state)
{
    (void)state;
    static const char *const options[] = {"--seed 2",          "--seed 3",          "--faults none",
                                          "--tempo-scale 1.1", "--camera 50,90,40", "--sets 2",
                                          "--size 66x64"};
    const char *truth[1 + sizeof options / sizeof *options];
    truth[0] = make_clip("--size 64x64 --fps 1 --seconds 20 --no-sound").truth;
    for (size_t i = 0; i < sizeof options / sizeof *options; i++) {
        char all[200];
        snprintf(all, sizeof all, "--size 64x64 --fps 1 --seconds 20 --no-sound %s", options[i]);
        truth[i + 1] = make_clip(all).truth;
        for (size_t k = 0; k <= i; k++)
            assert_string_not_equal(read_file(truth[i + 1], NULL), read_file(truth[k], NULL));
    }
}

static void wrong_options_are_refused_with_one_line(void **state)
{
    (void)state;
    static const struct {
        const char *option, *value, *says;
        int status;
    } cases[] = {
        {"--size", "321x180", "--size: cannot use '321x180'", 2},
        {"--fps", "0", "--fps", 2},
        {"--seconds", "soon", "--seconds: cannot use 'soon'", 2},
        {"--faults", "bad breath", "no row of injected.csv", 2},
        {"--preset", "swift", "--preset: cannot use 'swift'", 2},
        {"--bogus", "1", "--bogus", 2},
        {"--crown", "nan", "--crown: cannot use 'nan'", 2},
        {"--lens", "-0.5", "--lens: cannot use '-0.5'", 2},
        {"--missing", "3:35", "--missing: cannot use '3:35'", 2},
        {"--missing", "1:35,", "--missing: cannot use '1:35,'", 2},
        {"--missing", "35", "--missing: cannot use '35'", 2},
        {"--field", "moon", "--field: cannot use 'moon'", 2},
        {"--soccer", "plaid", "--soccer: cannot use 'plaid'", 2},
        {"--turned", "45", "--turned: cannot use '45'", 2},
        {"--codec", "tape", "--codec: cannot use 'tape'", 2},
        {"--bump", "0", "--bump: cannot use '0'", 2},
        {"--band", "/nowhere", "/nowhere/sections.csv", 3},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const char *out = path_in(temp_dir(), "clip.mp4");
        const struct run r = run(demo_clip, "--out", out, cases[i].option, cases[i].value, NULL);
        assert_exit(r, cases[i].status);
        assert_contains(r.err, cases[i].says);
        assert_ptr_equal(strchr(r.err, '\n'), r.err + strlen(r.err) - 1);
    }
    const struct run none = run(demo_clip, NULL);
    assert_exit(none, 2);
    const struct run help = run(demo_clip, "--help", NULL);
    assert_quiet(help);
    assert_contains(help.out, "--truth FILE");
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clip_has_the_pictures_rate_length_and_sound_asked_for),
        cmocka_unit_test(every_frame_carries_its_number_and_comes_at_its_time),
        cmocka_unit_test(jittered_times_keep_their_order_and_are_not_even),
        cmocka_unit_test(key_frames_and_reordering_follow_the_options),
        cmocka_unit_test(clicks_are_heard_when_the_truth_says_so),
        cmocka_unit_test(sound_comes_late_by_its_way_through_the_air),
        cmocka_unit_test(field_marks_are_in_the_picture_where_the_camera_says),
        cmocka_unit_test(the_same_options_give_the_same_bytes),
        cmocka_unit_test(options_at_their_defaults_change_nothing),
        cmocka_unit_test(a_turned_picture_is_shown_upright),
        cmocka_unit_test(hevc_shows_the_same_pictures),
        cmocka_unit_test(other_options_give_another_truth),
        cmocka_unit_test(wrong_options_are_refused_with_one_line),
    };
    demo_clip = argc > 1 ? argv[1] : "demo-clip";
    return cmocka_run_group_tests(tests, NULL, NULL);
}
