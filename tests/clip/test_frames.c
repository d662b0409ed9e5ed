/* Pictures without a player: which ones, at which times, upright and in the right shades. Every
 * clip carries its frame numbers in its pictures (player/clips.h). */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "clip/frames.h"
#include "clip/packets.h"
#include "lib/cases.h"
#include "lib/run.h"
#include "clip/clip_file.h"

static struct frames *open_frames(const struct frames_want *want)
{
    struct frames *f;
    struct err e;
    if (!frames_open(&f, want, &e))
        fail_msg("%s", e.text);
    return f;
}

/* The number drawn into the picture; bars_read() wants four bytes a pixel. */
static int64_t number_in(const struct frame *fr, enum frames_kind kind, int turned)
{
    const size_t n = (size_t)fr->width * (size_t)fr->height, bytes = kind == FRAMES_RGB ? 3 : 1;
    uint8_t *rgba = xcalloc(n, 4);
    for (size_t i = 0; i < n; i++)
        memset(rgba + 4 * i, fr->px[i * bytes + bytes / 2], 4);
    int64_t number = bars_read(rgba, (size_t)fr->width * 4, fr->width, fr->height, turned);
    free(rgba);
    return number;
}

static void made(struct run r)
{
    assert_exit(r, 0);
}

static const struct row {
    const char *name;
} clips[] = {{"ntsc.mp4"},    {"fast240.mp4"}, {"varying.mp4"}, {"turn90.mp4"},  {"turn180.mp4"},
             {"turn270.mp4"}, {"late.mkv"},    {"stream.ts"},   {"deep.mp4"},    {"bright.mp4"},
             {"opengop.mp4"}, {"wide.mp4"},    {"still.avi"},   {"trimmed.mp4"}, {"opus.webm"},
             {"leading.ts"},  {"order.avi"},   {"inorder.avi"}, {"order2.avi"},  {"pyramid.avi"}};

static void every_frame_comes_once_at_its_time_and_upright(void **state)
{
    const struct row *r = *state;
    const struct clip *clip = clip_row(r->name);
    const char *path = clip_file_of(r->name);
    struct media m = {0};
    struct frame fr;
    struct err e;
    assert_true(packets_read(path, NULL, &m, &e));
    struct frames *f = open_frames(&(struct frames_want){.path = path, .kind = FRAMES_LUMA});
    size_t n = 0;
    for (; frames_next(f, &fr, &e); n++) {
        assert_true(n < m.frames);
        assert_int_equal(fr.at_us, m.frame_us[n]);
        assert_int_equal(fr.width, clip->width);
        assert_int_equal(fr.height, clip->height);
        assert_int_equal(number_in(&fr, FRAMES_LUMA, clip->turned), clip->first + (int64_t)n);
    }
    assert_int_equal(e.code, ERR_NONE);
    assert_int_equal(n, clip->frames);
    frames_close(f);
    media_free(&m);
}

static void of_a_stretch_only_its_frames_come_whatever_the_size(void **state)
{
    const struct row *r = *state;
    const struct clip *clip = clip_row(r->name);
    const char *path = clip_file_of(r->name);
    struct media m = {0};
    struct frame fr;
    struct err e;
    assert_true(packets_read(path, NULL, &m, &e));
    size_t first = m.frames / 2, last = m.frames - 3, n = first;
    struct frames *f = open_frames(&(struct frames_want){.path = path,
                                                         .kind = FRAMES_RGB,
                                                         .height = clip->height / 2,
                                                         .from_us = m.frame_us[first],
                                                         .to_us = m.frame_us[last]});
    for (; frames_next(f, &fr, &e); n++) {
        assert_int_equal(fr.at_us, m.frame_us[n]);
        assert_int_equal(fr.height, clip->height / 2);
        assert_int_equal(fr.width, clip->width / 2);
        assert_int_equal(number_in(&fr, FRAMES_RGB, clip->turned), clip->first + (int64_t)n);
    }
    assert_int_equal(e.code, ERR_NONE);
    assert_int_equal(n, last);
    frames_close(f);
    media_free(&m);
}

/* Rec. ITU-R BT.601-7, 2.5.3: luma 16 is black and 235 white in 8 bits, so Y' of the full range is
 * 255 (Y - 16) / 219. The bars are drawn with 30 and 220. */
static void luma_is_brought_to_the_full_range(void **state)
{
    (void)state;
    struct frame fr;
    struct err e;
    struct frames *f =
        open_frames(&(struct frames_want){.path = clip_file_of("ntsc.mp4"), .kind = FRAMES_LUMA});
    assert_true(frames_next(f, &fr, &e)); /* number 0: dark above, bright below */
    int above = fr.px[20 * fr.width + fr.width / 2], below = fr.px[90 * fr.width + fr.width / 2];
    assert_in_range(above, lround(255.0 * (30 - 16) / 219) - 2,
                    lround(255.0 * (30 - 16) / 219) + 2);
    assert_in_range(below, lround(255.0 * (220 - 16) / 219) - 2,
                    lround(255.0 * (220 - 16) / 219) + 2);
    frames_close(f);
}

/* The ffmpeg program makes the same pictures of the same clip. */
static void colours_are_those_that_ffmpeg_makes(void **state)
{
    (void)state;
    enum { W = 160, H = 90, FRAMES = 10 };
    const char *path = path_in(temp_dir(), "colour.mp4"), *raw = path_in(temp_dir(), "colour.rgb");
    made(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i",
             "testsrc2=s=640x360:r=10:d=1", "-c:v", "libx264", "-pix_fmt", "yuv420p", path, NULL));
    made(run("ffmpeg", "-nostdin", "-v", "error", "-i", path, "-vf",
             "scale=160:90:flags=area+accurate_rnd:in_color_matrix=bt601", "-pix_fmt", "rgb24",
             "-f", "rawvideo", raw, NULL));
    size_t n;
    const uint8_t *want = (const uint8_t *)read_file(raw, &n);
    assert_int_equal(n, W * H * 3 * FRAMES);
    struct frames *f =
        open_frames(&(struct frames_want){.path = path, .kind = FRAMES_RGB, .width = W});
    struct frame fr;
    struct err e;
    for (size_t k = 0; frames_next(f, &fr, &e); k++) {
        long apart = 0;
        assert_int_equal(fr.height, H);
        for (size_t i = 0; i < W * H * 3; i++)
            apart += labs(fr.px[i] - want[k * W * H * 3 + i]);
        assert_true(apart < W * H * 3); /* less than one of 255 on average */
    }
    assert_int_equal(e.code, ERR_NONE);
    frames_close(f);
}

/* --- mirrored ------------------------------------------------------------------------------ */

/* The numbers a b c d of the matrix in the track header (ISO/IEC 14496-12, 8.3.2: nine of them, 16.16,
 * behind 40 bytes of a header of version 0). */
static const struct mirrored {
    const char *name;
    int a, b, c, d, width, height;
} mirrored[] = {
    {"left and right", -1, 0, 0, 1, 64, 36},
    {"up and down", 1, 0, 0, -1, 64, 36},
    {"turned to the right", 0, 1, 1, 0, 36, 64},
    {"turned to the left", 0, -1, -1, 0, 36, 64},
};

static void put(uint8_t *at, int whole)
{
    at[0] = whole < 0 ? 0xff : 0;
    at[1] = (uint8_t)whole;
    at[2] = at[3] = 0;
}

static const char *mirrored_clip(const struct mirrored *r)
{
    enum { MATRIX_AT = 4 + 40 };
    const char *plain = path_in(temp_dir(), "plain.mp4");
    made(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=64x36:r=10:d=1",
             "-vf", "scale=out_color_matrix=bt709,format=yuv420p", "-colorspace", "bt709", "-c:v",
             "libx264", "-qp", "8", plain, NULL));
    size_t n;
    uint8_t *bytes = (uint8_t *)read_file(plain, &n);
    uint8_t *header = memmem(bytes, n, "tkhd", 4);
    assert_non_null(header);
    assert_int_equal(header[4], 0);
    uint8_t *matrix = header + MATRIX_AT;
    put(matrix, r->a);
    put(matrix + 4, r->b);
    put(matrix + 12, r->c);
    put(matrix + 16, r->d);
    return write_bytes(temp_dir(), "mirrored.mp4", bytes, n);
}

/* The ffmpeg program turns and mirrors by itself. A picture that lies otherwise is 40 away. */
static void a_mirrored_clip_is_shown_as_ffmpeg_shows_it(void **state)
{
    const struct mirrored *r = *state;
    const char *clip = mirrored_clip(r);
    static const struct {
        enum frames_kind kind;
        const char *format;
        size_t halves; /* bytes of two pixels */
    } kinds[] = {{FRAMES_RGB, "rgb24", 6}, {FRAMES_YUV, "yuv420p", 3}};
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        const char *raw = path_in(temp_dir(), "want.raw");
        size_t n;
        long off = 0;
        struct frame fr;
        struct err e;
        made(run("ffmpeg", "-nostdin", "-v", "error", "-i", clip, "-frames:v", "1", "-pix_fmt",
                 kinds[k].format, "-f", "rawvideo", raw, NULL));
        const uint8_t *want = (const uint8_t *)read_file(raw, &n);
        struct frames *f = open_frames(&(struct frames_want){.path = clip, .kind = kinds[k].kind});
        assert_true(frames_next(f, &fr, &e));
        assert_int_equal(fr.width, r->width);
        assert_int_equal(fr.height, r->height);
        assert_int_equal(n, (size_t)r->width * (size_t)r->height / 2 * kinds[k].halves);
        for (size_t i = 0; i < n; i++)
            off += labs(fr.px[i] - want[i]);
        print_message("%s, %s: %.2f\n", r->name, kinds[k].format, (double)off / (double)n);
        assert_true((double)off < 6 * (double)n);
        frames_close(f);
    }
}

static void what_has_no_pictures_is_refused_in_words(void **state)
{
    (void)state;
    struct frames *f;
    struct err e;
    const char *text = write_file(temp_dir(), "clip.mp4", "not a clip\n");
    assert_false(frames_open(&f, &(struct frames_want){.path = text}, &e));
    assert_contains(e.text, "a text file, not a clip");
    assert_false(frames_open(&f, &(struct frames_want){.path = clip_file_of("sound.mp4")}, &e));
    assert_contains(e.text, "sound only, no picture");
    assert_false(frames_open(
        &f, &(struct frames_want){.path = clip_file_of("ntsc.mp4"), .width = 20000}, &e));
    assert_contains(e.text, "larger than can be looked at");
}

static void a_cancelled_reading_ends_without_a_word(void **state)
{
    (void)state;
    atomic_bool cancel = false;
    struct frame fr;
    struct err e;
    struct frames *f = open_frames(
        &(struct frames_want){.path = clip_file_of("ntsc.mp4"), .width = 64, .cancel = &cancel});
    assert_true(frames_next(f, &fr, &e));
    atomic_store(&cancel, true);
    while (frames_next(f, &fr, &e))
        ;
    assert_int_equal(e.code, ERR_NONE);
    frames_close(f);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, clips, every_frame_comes_once_at_its_time_and_upright);
    cases_of(&all, clips, of_a_stretch_only_its_frames_come_whatever_the_size);
    case_test(&all, luma_is_brought_to_the_full_range);
    case_test(&all, colours_are_those_that_ffmpeg_makes);
    cases_of(&all, mirrored, a_mirrored_clip_is_shown_as_ffmpeg_shows_it);
    case_test(&all, what_has_no_pictures_is_refused_in_words);
    case_test(&all, a_cancelled_reading_ends_without_a_word);
    return cases_run(&all, "pictures without a player");
}
