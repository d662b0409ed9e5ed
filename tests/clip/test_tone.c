/* Clips of high dynamic range and of wide gamuts, as telephones make them, beside the usual clip that
 * they were made of by the ffmpeg program's zscale, which has its own arithmetic (the zimg library);
 * and the levels that Rep. ITU-R BT.2408 names. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "clip/cut.h"
#include "clip/frames.h"
#include "lib/cases.h"
#include "lib/run.h"
#include "clip/clip_file.h"

enum { W = 320, H = 180 };

#define LIGHT "zscale=t=linear:npl=203:agamma=false,format=gbrpf32le,zscale=p="
#define X265  "-c:v libx265 -preset ultrafast -x265-params log-level=error:lossless=1 -tag:v hvc1"
#define CODED ":m=bt2020nc:r=tv:npl=203:agamma=false,format=yuv420p10le\" " X265

static const char *ffmpeg(const char *name, const char *arguments)
{
    const char *to = path_in(temp_dir(), name);
    struct run made =
        run("sh", "-c",
            arena_printf(test_arena(), "ffmpeg -nostdin -v error %s '%s'", arguments, to), NULL);
    assert_exit(made, 0);
    return to;
}

/* The colours of a field, a track, metal, a uniform; gently from one to the other, so that it does not
 * matter how colours are spread between pixels. */
static const char *usual_clip(void)
{
    return ffmpeg("usual.mp4",
                  "-f lavfi -i gradients=s=320x180:r=10:d=1:n=4:c0=0x3a7d34:c1=0xa84a3c:"
                  "c2=0xb4b4aa:c3=0x28386e:x0=0:y0=0:x1=319:y1=179:seed=5 -vf "
                  "scale=out_color_matrix=bt709:out_range=tv,format=yuv420p,setparams="
                  "colorspace=bt709:color_primaries=bt709:color_trc=bt709 -c:v libx264 -qp 4");
}

/* The first picture's pixels, R G B; made smaller, since only then libswscale spreads the colour of
 * 8 and of 10 bits alike. */
static uint8_t *still_of(const char *path, int *width, int *height)
{
    struct frames *f;
    struct frame fr;
    struct err e;
    if (!frames_open(&f, &(struct frames_want){.path = path, .kind = FRAMES_RGB, .most = W / 2},
                     &e) ||
        !frames_next(f, &fr, &e))
        fail_msg("%s", e.text);
    const size_t n = (size_t)fr.width * (size_t)fr.height * 3;
    uint8_t *kept = arena_alloc(test_arena(), n);
    memcpy(kept, fr.px, n);
    *width = fr.width;
    *height = fr.height;
    frames_close(f);
    return kept;
}

static double apart(const char *a, const char *b)
{
    int w[2], h[2];
    const uint8_t *x = still_of(a, &w[0], &h[0]), *y = still_of(b, &w[1], &h[1]);
    long sum = 0;
    assert_int_equal(w[0], w[1]);
    assert_int_equal(h[0], h[1]);
    for (int i = 0; i < w[0] * h[0] * 3; i++)
        sum += labs(x[i] - y[i]);
    return (double)sum / (w[0] * h[0] * 3);
}

static const char *cut_of(const char *clip)
{
    struct err e;
    const char *to = path_in(temp_dir(), "cut.mp4");
    if (!cut_make(&(struct cuts_want){.path = clip}, &(struct cut){0, 500000, to}, &e))
        fail_msg("%s", e.text);
    return to;
}

static const struct row {
    const char *name, *make; /* of the usual clip */
    double still, cut;       /* at most so far from it on average, of 255 */
} rows[] = {
    {"HLG", "-vf \"" LIGHT "bt2020,zscale=t=arib-std-b67" CODED, 2, 2.5},
    {"PQ", "-vf \"" LIGHT "bt2020,zscale=t=smpte2084" CODED, 2, 2.5},
    {"the usual range in BT.2020", "-vf \"" LIGHT "bt2020,zscale=t=bt709" CODED, 2, 2.5},
    {"the usual range in Display P3", "-vf \"" LIGHT "smpte432,zscale=t=bt709" CODED, 2, 2.5},
};

static void looks_like_the_usual_clip(void **state)
{
    const struct row *r = *state;
    const char *usual = usual_clip();
    const char *clip = ffmpeg("clip.mp4", arena_printf(test_arena(), "-i '%s' %s", usual, r->make));
    const char *cut = cut_of(clip);
    const double still = apart(clip, usual), short_clip = apart(cut, cut_of(usual));
    print_message("%s: still %.2f, cut %.2f\n", r->name, still, short_clip);
    assert_true(still < r->still);
    assert_true(short_clip < r->cut);
    struct run told = run("ffprobe", "-v", "error", "-show_streams", cut, NULL);
    assert_exit(told, 0);
    assert_contains(told.out, "color_range=tv\ncolor_space=bt709\ncolor_transfer=bt709\n"
                              "color_primaries=bt709\n");
}

static const char *upward(const char *name, const char *clip)
{
    return ffmpeg(name,
                  arena_printf(test_arena(), "-i '%s' -c copy -metadata:s:v rotate=90", clip));
}

static void a_turned_one_is_brought_over_as_well(void **state)
{
    (void)state;
    const char *usual = usual_clip();
    const char *clip =
        ffmpeg("clip.mp4", arena_printf(test_arena(), "-i '%s' %s", usual, rows[0].make));
    int w, h;
    clip = upward("clip_up.mp4", clip);
    usual = upward("usual_up.mp4", usual);
    still_of(clip, &w, &h);
    assert_int_equal(w, H / 2);
    assert_int_equal(h, W / 2);
    assert_true(apart(clip, usual) < rows[0].still);
    assert_true(apart(cut_of(clip), cut_of(usual)) < rows[0].cut);
}

/* Report ITU-R BT.2408, table 1 (from memory): a grey card of 18 % is 26 cd/m², 38 % of HLG and of
 * PQ, white 203 cd/m², 75 % and 58 %. BT.1886: a signal V shows as V^2.4 of white, so the card's is
 * 255 (26/203)^(1/2.4) = 108. The levels are whole per cents: 1 % of PQ is 12 % of light, 5 % of V. */
static const struct level {
    const char *name, *trc;
    double part;     /* of the signal */
    int least, most; /* in 8 bits */
} levels[] = {
    {"black of HLG", "arib-std-b67", 0, 0, 1},
    {"the grey card of HLG", "arib-std-b67", 0.38, 102, 114},
    {"white of HLG", "arib-std-b67", 0.75, 215, 245},
    {"the most of HLG", "arib-std-b67", 1, 254, 255},
    {"black of PQ", "smpte2084", 0, 0, 1},
    {"the grey card of PQ", "smpte2084", 0.38, 102, 114},
    {"white of PQ", "smpte2084", 0.58, 215, 245},
    {"1000 cd/m² of PQ", "smpte2084", 0.7518, 253, 255},
    {"the most of PQ", "smpte2084", 1, 255, 255},
};

static void a_level_comes_out_where_the_standards_put_it(void **state)
{
    const struct level *l = *state;
    /* BT.2100-2, table 9: black 64 and white 940 in 10 bits */
    const int code = (int)lround(64 + 876 * l->part);
    const char *clip = ffmpeg(
        "grey.mp4",
        arena_printf(test_arena(),
                     "-f lavfi -i \"color=black:s=64x64:r=10:d=0.3,format=yuv420p10le,"
                     "geq=lum=%d:cb=512:cr=512\" " X265 " -color_primaries bt2020 -colorspace "
                     "bt2020nc -color_trc %s",
                     code, l->trc));
    int w, h;
    const uint8_t *px = still_of(clip, &w, &h);
    print_message("%s: %d %d %d\n", l->name, px[0], px[1], px[2]);
    for (int c = 0; c < 3; c++) {
        assert_in_range(px[c], l->least, l->most);
        assert_true(abs(px[c] - px[0]) <= 1);
    }
}

/* What says of itself that it is usual, or nothing, keeps its colours to the bit. Rec. ITU-T H.264,
 * tables E-3 and E-4: 1 BT.709, 2 not said, 6 BT.601, 13 sRGB. */
static void a_usual_clip_stays_as_it_is(void **state)
{
    (void)state;
    static const int tags[][2] = {{2, 2}, {6, 6}, {1, 13}, {2, 1}};
    const char *usual = usual_clip();
    int w, h;
    const uint8_t *want = still_of(usual, &w, &h);
    for (size_t i = 0; i < sizeof tags / sizeof *tags; i++) {
        const char *clip =
            ffmpeg("tags.mkv",
                   arena_printf(test_arena(),
                                "-i '%s' -c copy -bsf:v "
                                "h264_metadata=colour_primaries=%d:transfer_characteristics=%d",
                                usual, tags[i][0], tags[i][1]));
        assert_memory_equal(still_of(clip, &w, &h), want, (size_t)w * (size_t)h * 3);
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, looks_like_the_usual_clip);
    case_test(&all, a_turned_one_is_brought_over_as_well);
    cases_of(&all, levels, a_level_comes_out_where_the_standards_put_it);
    case_test(&all, a_usual_clip_stays_as_it_is);
    return cases_run(&all, "clips of high dynamic range");
}
