/* Short clips cut out of a long one. Every clip carries its frame numbers in its pictures
 * (player/clips.h), so that what shows at a moment of the cut is held against what shows at that
 * moment of the clip; what kind of file it is, is asked of the ffprobe and ffmpeg programs. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "clip/cut.h"
#include "clip/frames.h"
#include "clip/libav.h"
#include "clip/packets.h"
#include "lib/cases.h"
#include "lib/run.h"
#include "clip/clip_file.h"

static const char *out_of(struct run r)
{
    assert_exit(r, 0);
    return r.out;
}

static const char *cut_of(const char *clip, int64_t from_us, int64_t to_us)
{
    struct err e;
    const char *dir = temp_dir(), *to = path_in(dir, "cut.mp4");
    if (!cut_make(&(struct cuts_want){.path = clip}, &(struct cut){from_us, to_us, to}, &e))
        fail_msg("%s", e.text);
    assert_int_equal(e.code, ERR_NONE);
    assert_int_equal(count_entries(dir), 1);
    return to;
}

struct shown {
    int64_t us[1000], number[1000];
    size_t n;
    int width, height;
};

static struct shown pictures_of(const char *path)
{
    struct shown s = {0};
    struct frames *f;
    struct frame fr;
    struct err e;
    if (!frames_open(&f, &(struct frames_want){.path = path, .kind = FRAMES_LUMA}, &e))
        fail_msg("%s", e.text);
    while (frames_next(f, &fr, &e)) {
        const size_t n = (size_t)fr.width * (size_t)fr.height;
        uint8_t *rgba = xcalloc(n, 4);
        for (size_t i = 0; i < n; i++)
            memset(rgba + 4 * i, fr.px[i], 4);
        s.us[s.n] = fr.at_us;
        s.number[s.n++] = bars_read(rgba, (size_t)fr.width * 4, fr.width, fr.height, 0);
        free(rgba);
        s.width = fr.width;
        s.height = fr.height;
    }
    assert_int_equal(e.code, ERR_NONE);
    frames_close(f);
    return s;
}

/* Upright in the cut; in the clip's pictures, which frames.h hands out upright, too: the bars of a
 * turned clip are read as it lies there. */
static int64_t number_at(const struct media *m, const struct clip *clip, int64_t us)
{
    size_t k = 0;
    while (k + 1 < m->frames && m->frame_us[k + 1] <= us)
        k++;
    return clip->first + (int64_t)k;
}

static const struct row {
    const char *name;
} clips[] = {
    {"ntsc.mp4"},    {"fast240.mp4"}, {"varying.mp4"}, {"late.mkv"},      {"stream.ts"},
    {"deep.mp4"},    {"bright.mp4"},  {"opengop.mp4"}, {"wide.mp4"},      {"still.avi"},
    {"trimmed.mp4"}, {"opus.webm"},   {"leading.ts"},  {"mpeg2.ts"},      {"pyramid.mp4"},
    {"layers.mp4"},  {"fast60.mp4"},  {"sparse.mp4"},  {"latesound.mp4"}, {"latepicture.mp4"},
    {"clicks.mkv"},  {"order.avi"},   {"inorder.avi"}, {"order2.avi"},    {"pyramid.avi"}};

/* Between two pictures, on one, a microsecond beside one, from the beginning. */
static void at_each_moment_shows_what_the_clip_shows_there(void **state)
{
    const struct row *r = *state;
    const struct clip *clip = clip_row(r->name);
    const char *path = clip_file_of(r->name);
    struct media m = {0};
    struct err e;
    assert_true(packets_read(path, NULL, &m, &e));
    const size_t third = m.frames / 3, two = 2 * m.frames / 3;
    const int64_t stretches[][2] = {
        {m.frame_us[third], m.frame_us[two]},
        {m.frame_us[third] + 7001, m.frame_us[two] + 1},
        {m.frame_us[third] - 1, m.frame_us[third] + 1},
        {m.frame_us[0], m.frame_us[5]},
        {0, m.frame_us[9]},
    };
    for (size_t i = 0; i < sizeof stretches / sizeof *stretches; i++) {
        const int64_t from = stretches[i][0], to = stretches[i][1];
        if (to <= from)
            continue;
        struct shown s = pictures_of(cut_of(path, from, to));
        size_t k = 0; /* the first picture of the clip in the cut */
        while (k + 1 < m.frames && m.frame_us[k + 1] <= from)
            k++;
        size_t n = 0;
        for (; k < m.frames && m.frame_us[k] < to; k++, n++) {
            assert_true(n < s.n);
            /* media time 0 is the first stamp in the file: a picture where there is no sound */
            const int64_t at = m.frame_us[k] > from ? m.frame_us[k] - from : 0;
            const int64_t shift = m.has_sound || m.frame_us[0] <= from ? 0 : m.frame_us[0] - from;
            assert_int_equal(s.us[n], at - shift);
            assert_int_equal(s.number[n], number_at(&m, clip, m.frame_us[k]));
        }
        assert_int_equal(s.n, n);
    }
    media_free(&m);
}

static const struct turned {
    const char *name;
} turned[] = {{"turn90.mp4"}, {"turn180.mp4"}, {"turn270.mp4"}, {"phone.mp4"}};

static void a_turned_clip_stands_upright_in_the_cut(void **state)
{
    const struct turned *t = *state;
    const struct clip *clip = clip_row(t->name);
    const char *cut = cut_of(clip_file_of(t->name), 300000, 700000);
    const char *told = out_of(run("ffprobe", "-v", "error", "-show_streams", cut, NULL));
    assert_lacks(told, "rotation");
    assert_contains(
        told, arena_printf(test_arena(), "\nwidth=%d\nheight=%d\n", clip->width, clip->height));
    struct frames *f;
    struct frame fr;
    struct err e;
    assert_true(frames_open(&f, &(struct frames_want){.path = cut, .kind = FRAMES_LUMA}, &e));
    for (int k = 0; frames_next(f, &fr, &e); k++) {
        const size_t n = (size_t)fr.width * (size_t)fr.height;
        uint8_t *rgba = xcalloc(n, 4);
        for (size_t i = 0; i < n; i++)
            memset(rgba + 4 * i, fr.px[i], 4);
        /* 300 ms lie between frames 8 and 9 of 30000/1001 a second */
        assert_int_equal(bars_read(rgba, (size_t)fr.width * 4, fr.width, fr.height, clip->turned),
                         8 + k);
        free(rgba);
    }
    frames_close(f);
}

/* What another reader says of it. */
static void it_is_small_square_and_begun_anywhere(void **state)
{
    (void)state;
    static const struct {
        const char *clip;
        int width, height, channels;
    } rows[] = {{"uhd.mp4", 640, 360, 0},     {"wide.mp4", 256, 108, 0},
                {"ntsc.mp4", 192, 108, 1},    {"clicks.mp4", 192, 108, 2},
                {"opus.webm", 192, 108, 1},   {"plain.mov", 192, 108, 1},
                {"varying.mp4", 192, 108, 0}, {"fast240.mp4", 192, 108, 0}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *cut = cut_of(clip_file_of(rows[i].clip), 100000, 3000000);
        size_t n;
        const char *bytes = read_file(cut, &n);
        const char *told = out_of(run("ffprobe", "-v", "error", "-show_format", "-show_streams",
                                      "-select_streams", "v", cut, NULL));
        assert_contains(told, "codec_name=h264");
        assert_contains(told, arena_printf(test_arena(), "\nwidth=%d\nheight=%d\n", rows[i].width,
                                           rows[i].height));
        assert_contains(told, "sample_aspect_ratio=1:1");
        assert_contains(told, "pix_fmt=yuv420p\n");
        assert_contains(told, "has_b_frames=0");
        assert_contains(told,
                        arena_printf(test_arena(), "nb_streams=%d", rows[i].channels ? 2 : 1));
        assert_true((const char *)memmem(bytes, n, "moov", 4) <
                    (const char *)memmem(bytes, n, "mdat", 4));
        told = out_of(
            run("ffprobe", "-v", "error", "-show_streams", "-select_streams", "a", cut, NULL));
        if (rows[i].channels) {
            assert_contains(told, "codec_name=aac");
            assert_contains(told, arena_printf(test_arena(), "channels=%d\n", rows[i].channels));
        }
    }
}

static void half_a_second_never_goes_by_without_a_keyframe(void **state)
{
    (void)state;
    static const char *const names[] = {"ntsc.mp4", "varying.mp4", "fast240.mp4", "clicks.mp4"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const char *line = out_of(run("ffprobe", "-v", "error", "-select_streams", "v",
                                      "-show_entries", "packet=pts_time,flags", "-of", "csv=p=0",
                                      cut_of(clip_file_of(names[i]), 150000, 3900000), NULL));
        double key = -1, at, before = -1;
        char flag;
        for (int n; sscanf(line, "%lf,%c%*c%n", &at, &flag, &n) == 2;
             line += n + strspn(line + n, "\n")) {
            assert_true(key >= 0 || flag == 'K');
            assert_true(at > before);
            assert_true(key < 0 || at - key < 0.5000001); /* of a keyframe: from the one before */
            if (flag == 'K')
                key = at;
            before = at;
        }
        assert_true(before > 0.5);
    }
}

/* --- sound --------------------------------------------------------------------------------- */

enum { RATE = 48000 };

/* When the first click is heard, in seconds of media time: ffmpeg decodes, and keeps the gap before
 * the sound when it is asked to. */
static double first_click(const char *path)
{
    const char *raw = path_in(temp_dir(), "sound.f32");
    out_of(run("ffmpeg", "-nostdin", "-v", "error", "-i", path, "-map", "0:a", "-af",
               "aresample=48000:async=1:first_pts=0", "-ac", "2", "-f", "f32le", raw, NULL));
    size_t n;
    const float *s = (const float *)(const void *)read_file(raw, &n);
    for (size_t i = 0; i < n / 8; i++)
        if (fabsf(s[2 * i]) > 0.25f)
            return (double)i / RATE;
    return -1;
}

static const struct sounding {
    const char *name;
} sounding[] = {{"clicks.mp4"}, {"clicks.ts"}, {"clicks.mkv"}};

/* The clicks of the file begin at whole halves of a second of its container's time; where its media
 * time 0 lies is known from the clip itself. A millisecond is what the slope of a click leaves. */
static void the_sound_is_that_of_the_moment(void **state)
{
    const struct sounding *s = *state;
    const char *clip = clip_file_of(s->name);
    static const int64_t froms[] = {200000, 1234567, 2400001, 0};
    struct media m = {0};
    struct err e;
    assert_true(packets_read(clip, NULL, &m, &e));
    for (size_t i = 0; i < sizeof froms / sizeof *froms; i++) {
        /* frame 0 and the first click were made at the same moment */
        const double from = (double)(froms[i] - m.frame_us[0]) / 1e6;
        const double due = ceil(from / 0.5 - 1e-9) * 0.5 - from;
        const double heard = first_click(cut_of(clip, froms[i], froms[i] + 900000));
        print_message("%s: due %.4f heard %.4f\n", s->name, due, heard);
        assert_true(fabs(heard - due) < 0.0015);
    }
    media_free(&m);
}

static void before_the_sound_begins_it_is_silent_and_in_time(void **state)
{
    (void)state;
    const char *cut = cut_of(clip_file_of("latesound.mp4"), 300000, 2000000);
    const char *raw = path_in(temp_dir(), "sound.f32");
    out_of(run("ffmpeg", "-nostdin", "-v", "error", "-i", cut, "-map", "0:a", "-ar", "48000", "-ac",
               "1", "-f", "f32le", raw, NULL));
    size_t n, first = 0;
    const float *s = (const float *)(const void *)read_file(raw, &n);
    while (first < n / 4 && fabsf(s[first]) < 0.02f)
        first++;
    assert_true(fabs((double)first / RATE - 0.4) < 0.03); /* the encoder spreads a frame's edge */
    assert_true(fabs((double)n / 4 / RATE - 1.7) < 0.022);
}

/* --- the end and many ---------------------------------------------------------------------- */

static double length_of(const char *path, const char *stream)
{
    return strtod(out_of(run("ffprobe", "-v", "error", "-select_streams", stream, "-show_entries",
                             "stream=duration", "-of", "default=nk=1:nw=1", path, NULL)),
                  NULL);
}

static void it_ends_where_it_was_asked_to_or_with_the_clip(void **state)
{
    (void)state;
    const char *clip = clip_file_of("ntsc.mp4"); /* 120 frames: 4.004 s */
    const char *cut = cut_of(clip, 1000000, 2500000);
    assert_true(fabs(length_of(cut, "v") - 1.5) < 1e-5);
    assert_true(fabs(length_of(cut, "a") - 1.5) < 1e-4);
    cut = cut_of(clip, 3000000, INT64_C(1) << 60);
    assert_true(fabs(length_of(cut, "v") - 1.004) < 1e-5);
    assert_true(fabs(length_of(cut, "a") - 1.004) < 1e-4);
    cut = cut_of(clip, 4000000, 5000000); /* the last picture shows for 4 ms more */
    struct shown s = pictures_of(cut);
    assert_int_equal(s.n, 1);
    assert_int_equal(s.number[0], 119);
}

static void many_cuts_of_an_open_clip_are_each_as_if_alone(void **state)
{
    (void)state;
    static const char *const names[] = {"ntsc.mp4", "clicks.mkv", "clicks.ts", "phone.mp4"};
    static const int64_t froms[] = {0, 0, 200000, 250000, 1500000, 3500000, 1000000, 0};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct cuts *c;
        struct err e;
        const char *dir = temp_dir(), *clip = clip_file_of(names[i]);
        assert_true(cuts_open(&c, &(struct cuts_want){.path = clip}, &e));
        for (size_t k = 0; k < sizeof froms / sizeof *froms; k++) {
            const char *to = path_in(dir, arena_printf(test_arena(), "%zu.mp4", k));
            if (!cuts_make(c, &(struct cut){froms[k], froms[k] + 800000, to}, &e))
                fail_msg("%s", e.text);
            assert_same_file(to, cut_of(clip, froms[k], froms[k] + 800000));
        }
        cuts_close(c);
    }
}

/* Noise is what no encoder makes small: 530 kbit a second, and one second of them at once. */
static void whatever_it_shows_it_stays_small_and_is_the_same_file_again(void **state)
{
    (void)state;
    size_t n;
    const char *noise = path_in(temp_dir(), "noise.mp4");
    out_of(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i",
               "testsrc2=s=640x360:r=30:d=4,noise=alls=60:allf=t:all_seed=3", "-c:v", "libx264",
               "-preset", "ultrafast", "-crf", "20", "-pix_fmt", "yuv420p", noise, NULL));
    const char *cut = cut_of(noise, 500000, 3500000);
    read_file(cut, &n);
    assert_in_range(n, 100000, (3 + 1) * 530000 / 8 + 5000);
    for (int i = 0; i < 3; i++)
        assert_same_file(cut, cut_of(noise, 500000, 3500000));
}

static void nothing_that_the_camera_wrote_is_in_it(void **state)
{
    (void)state;
    static const char *const words[] = {"12.3456",   "065.4321", "Nowhere",
                                        "Tib-Ronan", "Lavf",     "01:02:03:04"};
    size_t n;
    const char *bytes = read_file(cut_of(clip_file_of("phone.mp4"), 0, 2000000), &n);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        assert_null(memmem(bytes, n, words[i], strlen(words[i])));
}

static const AVCodec *no_encoder(const char *name)
{
    (void)name;
    return NULL;
}

/* Where libavcodec has no libx264. */
static void without_its_encoder_an_older_one_keeps_the_times(void **state)
{
    (void)state;
    struct err e;
    assert_true(libav_load(&e));
    const AVCodec *(*kept)(const char *) = avcodec_find_encoder_by_name;
    avcodec_find_encoder_by_name = no_encoder;
    const char *cut = cut_of(clip_file_of("varying.mp4"), 500000, 2500000);
    avcodec_find_encoder_by_name = kept;
    struct media m = {0};
    assert_true(packets_read(clip_file_of("varying.mp4"), NULL, &m, &e));
    assert_contains(out_of(run("ffprobe", "-v", "error", "-show_streams", cut, NULL)),
                    "codec_name=mpeg4");
    struct shown s = pictures_of(cut);
    size_t k = 0;
    while (m.frame_us[k + 1] <= 500000)
        k++;
    for (size_t i = 0; i < s.n; i++, k++) {
        const int64_t at = m.frame_us[k] > 500000 ? m.frame_us[k] - 500000 : 0;
        assert_int_equal(s.us[i], at);
        assert_int_equal(s.number[i], (int64_t)k);
    }
    assert_true(s.n > 20);
    media_free(&m);
}

/* --- what is refused ----------------------------------------------------------------------- */

static void what_cannot_be_cut_is_refused_in_words(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *to = path_in(dir, "cut.mp4"), *clip = clip_file_of("ntsc.mp4");
    const struct {
        const char *clip;
        struct cut cut;
        enum err_code code;
        const char *text;
    } rows[] = {
        {clip, {5000000, 6000000, to}, ERR_INPUT, "ntsc.mp4: shows no picture at 0:05.0"},
        {clip, {INT64_C(90000000), INT64_C(99000000), to}, ERR_INPUT, "shows no picture at 1:30.0"},
        {clip, {-1, 1000000, to}, ERR_INPUT, "must end behind its beginning"},
        {clip, {1000000, 1000000, to}, ERR_INPUT, "must end behind its beginning"},
        {clip,
         {0, 1000000, "/nowhere/at/all.mp4"},
         ERR_FAILED,
         "/nowhere/at/all.mp4: cannot write it: No such file or directory"},
        {clip, {0, 1000000, dir}, ERR_INPUT, "is a directory; name a file"},
        {clip_file_of("sound.mp4"), {0, 1000000, to}, ERR_INPUT, "sound only, no picture"},
        {"/nowhere/at-all.mp4", {0, 1000000, to}, ERR_INPUT, "there is no such file"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct err e;
        assert_false(cut_make(&(struct cuts_want){.path = rows[i].clip}, &rows[i].cut, &e));
        assert_int_equal(e.code, rows[i].code);
        assert_contains(e.text, rows[i].text);
        assert_int_equal(count_entries(dir), 0);
    }
}

struct stopper {
    atomic_bool cancel;
    double at, last;
    bool falls;
};

static void stop(void *user, double part)
{
    struct stopper *s = user;
    s->falls |= part < s->last || part > 1;
    s->last = part;
    if (part >= s->at)
        atomic_store(&s->cancel, true);
}

static void a_cut_that_is_given_up_leaves_what_was_there_and_the_next_one_works(void **state)
{
    (void)state;
    struct stopper s = {.at = 0.5};
    struct err e;
    struct cuts *c;
    const char *dir = temp_dir(), *to = write_file(dir, "cut.mp4", "an older cut\n");
    const struct cuts_want want = {
        .path = clip_file_of("ntsc.mp4"), .cancel = &s.cancel, .progress = stop, .user = &s};
    assert_true(cuts_open(&c, &want, &e));
    assert_false(cuts_make(c, &(struct cut){0, 3000000, to}, &e));
    assert_int_equal(e.code, ERR_NONE);
    assert_file_is(to, "an older cut\n");
    assert_int_equal(count_entries(dir), 1);
    s = (struct stopper){.at = 2};
    assert_true(cuts_make(c, &(struct cut){1000000, 2000000, to}, &e));
    assert_true(s.last == 1 && !s.falls);
    assert_int_equal(pictures_of(to).number[0], 29);
    atomic_store(&s.cancel, true);
    assert_false(cuts_make(c, &(struct cut){1000000, 2000000, to}, &e));
    assert_int_equal(e.code, ERR_NONE);
    cuts_close(c);
    assert_int_equal(count_entries(dir), 1);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, clips, at_each_moment_shows_what_the_clip_shows_there);
    cases_of(&all, turned, a_turned_clip_stands_upright_in_the_cut);
    case_test(&all, it_is_small_square_and_begun_anywhere);
    case_test(&all, half_a_second_never_goes_by_without_a_keyframe);
    cases_of(&all, sounding, the_sound_is_that_of_the_moment);
    case_test(&all, before_the_sound_begins_it_is_silent_and_in_time);
    case_test(&all, it_ends_where_it_was_asked_to_or_with_the_clip);
    case_test(&all, many_cuts_of_an_open_clip_are_each_as_if_alone);
    case_test(&all, whatever_it_shows_it_stays_small_and_is_the_same_file_again);
    case_test(&all, nothing_that_the_camera_wrote_is_in_it);
    case_test(&all, without_its_encoder_an_older_one_keeps_the_times);
    case_test(&all, what_cannot_be_cut_is_refused_in_words);
    case_test(&all, a_cut_that_is_given_up_leaves_what_was_there_and_the_next_one_works);
    return cases_run(&all, "short clips cut out of a long one");
}
