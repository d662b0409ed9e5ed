#include "hear/onsets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "clip/sound.h"
#include "hear/flux.h"

enum {
    HOP = 128,
    FINE = 512,
    FINE_BANDS = 12,
    FINE_LAG = 2,
    STEP = SOUND_RATE / 100, /* HEAR_STEP_US */
    COARSE = 2048,
    COARSE_BANDS = 28,
    COARSE_LAG = 2,
    AFTER = SOUND_RATE / 50 / HOP,
    BEFORE = 4,
    APART = 4,  /* looks: two sounds may begin 12 ms apart */
    AROUND = 34 /* looks to either side (100 ms) that an onset stands out from */
};

/* A look is most surprised by a stroke that begins this much before its centre (measured on strokes
 * whose beginning is known). */
static const double fine_late_s = -0.0006, coarse_late_s = -0.003;
static const float stands_out = 1.6F, least_rise = 0.08F;

struct ear {
    struct flux *fine, *coarse;
    float in[HOP], step[STEP];
    size_t filled, stepped; /* samples in them */
    double *energy;         /* mean square of each hop */
    size_t n_hops, cap_hops;
    int64_t from_us;
    bool begun;
    hear_progress progress;
    void *user;
    double told; /* progress told last */
};

static void hear_hop(struct ear *r)
{
    double sum = 0;
    for (size_t i = 0; i < HOP; i++)
        sum += (double)r->in[i] * (double)r->in[i];
    r->energy = array_grow(r->energy, r->n_hops, &r->cap_hops, sizeof *r->energy);
    r->energy[r->n_hops++] = sum / HOP;
    flux_feed(r->fine, r->in);
}

static void hear_sample(struct ear *r, float x)
{
    r->in[r->filled++] = x;
    r->step[r->stepped++] = x;
    if (r->filled == HOP) {
        hear_hop(r);
        r->filled = 0;
    }
    if (r->stepped == STEP) {
        flux_feed(r->coarse, r->step);
        r->stepped = 0;
    }
}

static bool listen(void *user, const struct sound_chunk *chunk)
{
    struct ear *r = user;
    if (!r->begun)
        r->from_us = chunk->at_us;
    r->begun = true;
    for (size_t i = 0; i < chunk->n; i++) {
        const float x = chunk->samples[i];
        hear_sample(r, isfinite(x) ? x : 0);
    }
    if (!r->progress || chunk->part < r->told + 0.01)
        return true;
    r->told = chunk->part;
    return r->progress(r->user, chunk->part);
}

static double mean(const double *v, size_t from, size_t to)
{
    double sum = 0;
    for (size_t i = from; i < to; i++)
        sum += v[i];
    return to > from ? sum / (double)(to - from) : 0;
}

/* By how much the sound rises at sample `at`. The hop that holds it may lie on both sides. */
static double rise_at(const struct ear *r, int64_t at)
{
    const size_t hop = (size_t)(at / HOP), end = r->n_hops;
    const size_t after = hop + 1 + AFTER < end ? hop + 1 + AFTER : end;
    const double loud = mean(r->energy, hop < end ? hop : end, after);
    const double before = mean(r->energy, hop > BEFORE ? hop - BEFORE : 0, hop < end ? hop : end);
    return sqrt(fmax(loud - before, 1e-10));
}

/* Does the i-th look hold the beginning of a sound: the most new within 12 ms to either side, and
 * clearly more than is usual around? */
static bool begins(const float *rise, size_t n, size_t i)
{
    double sum = 0;
    size_t k = 0;
    if (rise[i] < least_rise)
        return false;
    for (size_t j = i > AROUND ? i - AROUND : 0; j < n && j <= i + AROUND; j++) {
        const size_t away = j > i ? j - i : i - j;
        if (away <= APART && (rise[j] > rise[i] || (rise[j] == rise[i] && j < i)))
            return false;
        sum += rise[j];
        k++;
    }
    return rise[i] > stands_out * (float)(sum / (double)k);
}

/* Where between looks the top of a parabola through three of them lies, -0.5 .. 0.5. */
static double between(const float *rise, size_t n, size_t i)
{
    if (i == 0 || i + 1 >= n)
        return 0;
    const double bend = rise[i - 1] - 2 * rise[i] + rise[i + 1];
    return bend < 0 ? fmin(fmax((rise[i - 1] - rise[i + 1]) / (2 * bend), -0.5), 0.5) : 0;
}

static double centre_s(double look, unsigned hop, unsigned window)
{
    return ((look + 1) * hop - window / 2.0) / SOUND_RATE;
}

static void find_onsets(const struct ear *r, struct arena *a, struct heard *out)
{
    const size_t n = flux_n(r->fine);
    float *rise = xcalloc(n + 1, sizeof *rise);
    flux_rise(r->fine, FINE_LAG, rise, NULL);
    out->onset = arena_alloc(a, (n / APART + 1) * sizeof *out->onset);
    for (size_t i = 0; i < n; i++) {
        if (!begins(rise, n, i))
            continue;
        const double at = centre_s((double)i + between(rise, n, i), HOP, FINE) - fine_late_s;
        out->onset[out->n++] = (struct hear_onset){
            .at_us = r->from_us + llround(fmax(at, 0) * 1e6),
            .strength = rise_at(r, llround(fmax(at, 0) * SOUND_RATE)),
        };
    }
    free(rise);
}

static void find_rises(const struct ear *r, struct arena *a, struct hear_rise *out)
{
    out->n = flux_n(r->coarse);
    out->rise = arena_alloc(a, (out->n + 1) * sizeof *out->rise);
    out->loud = arena_alloc(a, (out->n + 1) * sizeof *out->loud);
    out->from_us = r->from_us + llround((centre_s(0, STEP, COARSE) - coarse_late_s) * 1e6);
    flux_rise(r->coarse, COARSE_LAG, out->rise, out->loud);
}

static void tell(const struct ear *r, struct arena *a, struct heard *out)
{
    const double mean_square = mean(r->energy, 0, r->n_hops);
    *out = (struct heard){
        .from_us = r->from_us,
        .to_us = r->from_us + (int64_t)(r->n_hops * HOP * UINT64_C(1000000) / SOUND_RATE),
        .loudness_db = mean_square > 1e-12 ? 10 * log10(mean_square) : -120,
    };
    find_onsets(r, a, out);
    find_rises(r, a, &out->rises);
}

static void ear_open(struct ear *r)
{
    r->fine = flux_open(FINE, HOP, FINE_BANDS);
    r->coarse = flux_open(COARSE, STEP, COARSE_BANDS);
}

static void ear_close(struct ear *r)
{
    flux_close(r->fine);
    flux_close(r->coarse);
    free(r->energy);
}

/* The sound ends with silence, so that the last strokes come under the middle of a window. */
static void run_out(struct ear *r)
{
    const size_t hops = r->n_hops;
    for (size_t i = 0; i < COARSE; i++)
        hear_sample(r, 0);
    r->n_hops = hops;
}

bool hear_onsets(const struct hear_want *want, struct arena *a, struct heard *out, struct err *e)
{
    struct ear r = {.progress = want->progress, .user = want->user};
    ear_open(&r);
    const bool ok = sound_decode(want->path, want->length_us, listen, &r, e);
    if (ok) {
        run_out(&r);
        tell(&r, a, out);
    }
    ear_close(&r);
    return ok;
}
