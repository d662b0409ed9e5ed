/* Stills for the marks of ten minutes of 1080p, made in this process, beside one ffmpeg process for
 * each; and how large short cuts become.
 *     stills_bench          wall clock, rounds of both one after the other */
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

#include "bench.h"
#include "clip/cut.h"
#include "clip/frames.h"
#include "clip/picture.h"
#include "clips.h"
#include "lib/files.h"
#include "lib/run.h"

enum { ROUNDS = 5, STILLS = 200, EACH = STILLS / ROUNDS, SECONDS = 600, WIDTH = 960 };

static void must(bool ok, const struct err *e)
{
    if (ok)
        return;
    fprintf(stderr, "%s\n", e->text);
    exit(1);
}

/* Marks stand where something was said, never on a frame. */
static int64_t moment(int i)
{
    return (int64_t)i * SECONDS * 1000000 / STILLS + i * 7919 % 1000 * 1000;
}

static double in_process(const char *clip, int round)
{
    struct frames *f;
    struct frame fr;
    struct err e;
    const double from = bench_now();
    must(frames_open(&f, &(struct frames_want){.path = clip, .kind = FRAMES_RGB, .width = WIDTH},
                     &e),
         &e);
    for (int i = 0; i < EACH; i++) {
        struct buf b = {0};
        must(frames_seek(f, moment(round * EACH + i), &e) && frames_next(f, &fr, &e), &e);
        must(picture_jpeg(&fr, &b, &e), &e);
        write_bytes(temp_dir(), "still.jpg", b.p, b.n);
        buf_free(&b);
    }
    frames_close(f);
    return bench_now() - from;
}

static double by_ffmpeg(const char *clip, int round)
{
    const char *to = path_in(temp_dir(), "still.jpg");
    const double from = bench_now();
    for (int i = 0; i < EACH; i++) {
        const char *at = arena_printf(test_arena(), "%lldus", (long long)moment(round * EACH + i));
        const struct run r = run("ffmpeg", "-nostdin", "-v", "error", "-y", "-ss", at, "-i", clip,
                                 "-frames:v", "1", "-vf", "scale=960:-2", "-q:v", "4", to, NULL);
        if (r.status != 0)
            exit(1);
    }
    return bench_now() - from;
}

static double kilobytes(const char *clip)
{
    struct err e;
    struct stat st;
    const char *to = path_in(temp_dir(), "cut.mp4");
    must(cut_make(&(struct cuts_want){.path = clip}, &(struct cut){1500000, 6500000, to}, &e), &e);
    if (stat(to, &st) != 0)
        exit(1);
    return (double)st.st_size / 1000;
}

int main(void)
{
    double ours[ROUNDS], theirs[ROUNDS];
    const char *clip = clip_marching_long(SECONDS / CLIP_SECONDS);
    for (int i = 0; i < ROUNDS; i++) {
        ours[i] = in_process(clip, i);
        theirs[i] = by_ffmpeg(clip, i);
    }
    const double ratio = bench_ratio(ours, theirs, ROUNDS);
    printf("%d stills: %.1f s, by ffmpeg %.1f s (medians of rounds, times %d)\n", STILLS,
           bench_median(ours, ROUNDS) * ROUNDS, bench_median(theirs, ROUNDS) * ROUNDS, ROUNDS);
    bench_at_most("stills in this process / one ffmpeg process each", ratio, 0.5, "");
    bench_at_most("5 s cut of the band", kilobytes(clip_marching()), 400, "KB");
    bench_at_most("5 s cut of the band, camera moving", kilobytes(clip_swaying()), 450, "KB");
    return bench_end();
}
