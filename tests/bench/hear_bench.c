/* The beats of a clip of ten minutes beside what cannot be saved: decoding its sound, and aubio's
 * detectors on samples that lie ready. For comparison also aubio's own beat tracker.
 *     hear_bench          CPU seconds, medians of interleaved repetitions */
#include <aubio/aubio.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "samples.h"
#include "clips.h"
#include "count/beats.h"
#include "clip/sound.h"
#include "hear/onsets.h"

enum { ROUNDS = 2, HOP = 128, WINDOW = 512, TEMPO_HOP = 512, TEMPO_WINDOW = 1024 };

static bool forget(void *user, const struct sound_chunk *chunk)
{
    (void)user, (void)chunk;
    return true;
}

static double decoding(const char *clip)
{
    struct err e;
    const double from = bench_cpu();
    bench_must(sound_decode(clip, 0, forget, NULL, &e), &e);
    return bench_cpu() - from;
}

/* aubio's own onset detector as src/hear's fine look hears: high frequency content. */
static double detectors(const struct samples *s)
{
    const double from = bench_cpu();
    aubio_onset_t *hfc = new_aubio_onset("hfc", WINDOW, HOP, SOUND_RATE);
    fvec_t *out = new_fvec(1);
    for (size_t i = 0; i + HOP <= s->n; i += HOP) {
        const fvec_t in = {HOP, s->at + i};
        aubio_onset_do(hfc, &in, out);
    }
    del_fvec(out);
    del_aubio_onset(hfc);
    return bench_cpu() - from;
}

static double own_tracker(const struct samples *s)
{
    const double from = bench_cpu();
    aubio_tempo_t *tempo = new_aubio_tempo("default", TEMPO_WINDOW, TEMPO_HOP, SOUND_RATE);
    fvec_t *out = new_fvec(1);
    for (size_t i = 0; i + TEMPO_HOP <= s->n; i += TEMPO_HOP)
        aubio_tempo_do(tempo, &(const fvec_t){TEMPO_HOP, s->at + i}, out);
    del_fvec(out);
    del_aubio_tempo(tempo);
    return bench_cpu() - from;
}

/* What app/beats.c does for a clip that is not tied; *finding is the part without the sound. */
static double beats_of(const char *clip, double *finding, size_t *n)
{
    struct arena memory = {0};
    struct heard heard;
    struct beats beats;
    struct err e;
    const double from = bench_cpu();
    bench_must(hear_onsets(&(struct hear_want){.path = clip}, &memory, &heard, &e), &e);
    const double heard_at = bench_cpu();
    struct onset *onsets = arena_alloc(&memory, heard.n * sizeof *onsets);
    for (size_t i = 0; i < heard.n; i++)
        onsets[i] = (struct onset){heard.onset[i].at_us, heard.onset[i].strength};
    const struct beat_sound sound = {{onsets, heard.n}, heard.rises.rise,    heard.rises.loud,
                                     heard.rises.n,     heard.rises.from_us, HEAR_STEP_US};
    bench_must(beats_find(&memory, &sound, &(struct beat_prior){0}, &beats, &e), &e);
    const double done = bench_cpu();
    *finding = done - heard_at;
    *n = beats.n;
    arena_free(&memory);
    return done - from;
}

struct round {
    double ours[ROUNDS], decode[ROUNDS], detect[ROUNDS], tracker[ROUNDS], finding[ROUNDS];
    double least[ROUNDS], least_tracker[ROUNDS];
};

static void report(struct round *r, double seconds, size_t beats)
{
    const double ratio = bench_ratio(r->ours, r->least, ROUNDS);
    const double beside_tracker = bench_ratio(r->ours, r->least_tracker, ROUNDS);
    printf("%.0f s of sound: decoding %.2f CPU s, an onset detector %.2f, aubio's own beat "
           "tracker %.2f\n",
           seconds, bench_median(r->decode, ROUNDS), bench_median(r->detect, ROUNDS),
           bench_median(r->tracker, ROUNDS));
    printf("%zu beats in %.2f CPU s; %.3f of them to find beats among the onsets\n", beats,
           bench_median(r->ours, ROUNDS), bench_median(r->finding, ROUNDS));
    printf("beats / (decoding + aubio's own beat tracker): %.2f\n", beside_tracker);
    bench_at_most("beats / (decoding + an onset detector)", ratio, 2, "");
    bench_holds("beats were found", beats > 600);
}

int main(void)
{
    const char *clip = clip_ten_minutes();
    static struct round r;
    struct samples sound = samples_of(clip);
    size_t n = 0;
    for (int i = 0; i < ROUNDS; i++) {
        r.decode[i] = decoding(clip);
        r.ours[i] = beats_of(clip, &r.finding[i], &n);
        r.detect[i] = detectors(&sound);
        r.tracker[i] = own_tracker(&sound);
        r.least[i] = r.decode[i] + r.detect[i];
        r.least_tracker[i] = r.decode[i] + r.tracker[i];
    }
    report(&r, (double)sound.n / SOUND_RATE, n);
    free(sound.at);
    return bench_end();
}
