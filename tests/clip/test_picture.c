/* Pictures as JPEG, read again by ImageMagick, which has its own reader (libjpeg), and held against
 * the same frame as the ffmpeg program gives it. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "clip/picture.h"
#include "lib/cases.h"
#include "lib/run.h"
#include "clip/clip_file.h"

static const char *jpeg_of(const struct frames_want *want, const char *name)
{
    struct frames *f;
    struct frame fr;
    struct err e;
    struct buf b = {0};
    if (!frames_open(&f, want, &e) || !frames_next(f, &fr, &e) || !picture_jpeg(&fr, &b, &e))
        fail_msg("%s", e.text);
    frames_close(f);
    const char *path = write_bytes(temp_dir(), name, b.p, b.n);
    buf_free(&b);
    return path;
}

static const char *identify(const char *format, const char *path)
{
    struct run r = run("identify", "-format", format, path, NULL);
    assert_exit(r, 0);
    return r.out;
}

static const struct row {
    const char *name;
    const char *make; /* ffmpeg's source of one picture */
    int width, height;
    double psnr; /* at least, dB */
} rows[] = {
    {"a test picture of 960 columns", "testsrc2=s=960x540:r=10:d=1", 960, 540, 34},
    {"a fine ramp", "gradients=s=640x360:r=10:d=1:seed=4", 640, 360, 44},
    {"odd sides", "testsrc2=s=322x182:r=10:d=1", 161, 91, 34},
};

/* 34 dB and more in every colour, edges of one pixel among them. The bounds stand 1 to 4 dB below
 * what was measured (35, 50, 37); with chroma at half the size the first gives 31 dB and the last 20. */
static void another_reader_sees_the_same_picture(void **state)
{
    const struct row *r = *state;
    const char *clip = path_in(temp_dir(), "clip.mp4"), *png = path_in(temp_dir(), "want.png");
    const char *scale = arena_printf(
        test_arena(), "scale=%d:%d:flags=area+accurate_rnd+full_chroma_inp", r->width, r->height);
    struct run made = run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i", r->make, "-c:v",
                          "libx264", "-qp", "12", "-pix_fmt", "yuv420p", clip, NULL);
    assert_exit(made, 0);
    made = run("ffmpeg", "-nostdin", "-v", "error", "-i", clip, "-vf", scale, "-frames:v", "1", png,
               NULL);
    assert_exit(made, 0);
    const char *jpeg = jpeg_of(
        &(struct frames_want){
            .path = clip, .kind = FRAMES_RGB, .width = r->width, .height = r->height},
        "got.jpg");
    assert_string_equal(identify("%m %w %h %[colorspace]", jpeg),
                        arena_printf(test_arena(), "JPEG %d %d sRGB", r->width, r->height));
    struct run psnr = run("compare", "-metric", "PSNR", png, jpeg, "null:", NULL);
    print_message("%s: %s dB\n", r->name, psnr.err);
    assert_true(strtod(psnr.err, NULL) >= r->psnr);
}

static void colours_of_a_plain_picture_come_back_within_two_steps(void **state)
{
    (void)state;
    static const uint8_t colours[][3] = {{0, 0, 0},    {255, 255, 255}, {200, 30, 40},
                                         {20, 90, 30}, {128, 128, 128}, {10, 20, 200}};
    for (size_t k = 0; k < sizeof colours / sizeof *colours; k++) {
        static uint8_t px[64 * 48 * 3];
        unsigned got[3];
        for (size_t i = 0; i < sizeof px; i++)
            px[i] = colours[k][i % 3];
        struct buf b = {0};
        struct err e;
        assert_true(picture_jpeg(&(struct frame){px, 64, 48, 0}, &b, &e));
        const char *path = write_bytes(temp_dir(), "plain.jpg", b.p, b.n);
        buf_free(&b);
        const char *text = identify("%[fx:int(255*p{20,20}.r+.5)] %[fx:int(255*p{20,20}.g+.5)] "
                                    "%[fx:int(255*p{20,20}.b+.5)]",
                                    path);
        assert_int_equal(sscanf(text, "%u %u %u", &got[0], &got[1], &got[2]), 3);
        for (int c = 0; c < 3; c++)
            assert_in_range(got[c] + 3, colours[k][c] + 1, colours[k][c] + 5);
    }
}

static bool holds(const char *bytes, size_t n, const char *word)
{
    return memmem(bytes, n, word, strlen(word)) != NULL;
}

/* ITU-T T.81, table B.1: APPn are FFE0 to FFEF, a comment FFFE. JFIF is APP0 (T.871, 10.1). */
static void nothing_but_the_picture_is_in_it(void **state)
{
    (void)state;
    size_t n, again_n;
    const struct frames_want want = {
        .path = clip_file_of("ntsc.mp4"), .kind = FRAMES_RGB, .from_us = 1000000};
    const char *bytes = read_file(jpeg_of(&want, "a.jpg"), &n);
    const char *again = read_file(jpeg_of(&want, "b.jpg"), &again_n);
    assert_int_equal(n, again_n);
    assert_memory_equal(bytes, again, n);
    assert_memory_equal(bytes, "\xff\xd8\xff\xe0\0\x10JFIF\0", 11);
    for (size_t at = 2; at + 4 < n && (uint8_t)bytes[at + 1] != 0xda;) {
        const unsigned marker = (uint8_t)bytes[at + 1];
        assert_int_equal((uint8_t)bytes[at], 0xff);
        assert_true(marker != 0xfe && !(marker > 0xe0 && marker <= 0xef));
        at += 2 + (size_t)(((uint8_t)bytes[at + 2] << 8) + (uint8_t)bytes[at + 3]);
    }
    assert_false(holds(bytes, n, "Lavc"));
    assert_false(holds(bytes, n, "Exif"));
}

static void what_was_in_the_buffer_stays_and_what_is_too_large_is_refused(void **state)
{
    (void)state;
    static uint8_t px[16 * 16 * 3];
    struct buf b = {0};
    struct err e;
    buf_str(&b, "before");
    assert_false(picture_jpeg(&(struct frame){px, 70000, 1, 0}, &b, &e));
    assert_int_equal(e.code, ERR_FAILED);
    assert_contains(e.text, "a picture of 70000 x 1 cannot be made a JPEG");
    assert_string_equal(buf_text(&b), "before");
    assert_true(picture_jpeg(&(struct frame){px, 16, 16, 0}, &b, &e));
    assert_memory_equal(b.p, "before\xff\xd8", 8);
    buf_free(&b);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, another_reader_sees_the_same_picture);
    case_test(&all, colours_of_a_plain_picture_come_back_within_two_steps);
    case_test(&all, nothing_but_the_picture_is_in_it);
    case_test(&all, what_was_in_the_buffer_stays_and_what_is_too_large_is_refused);
    return cases_run(&all, "pictures as JPEG");
}
