#include "hear/onsets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <aubio/aubio.h>

#include "clip/sound.h"

enum { WINDOW = 512, HOP = 128, AFTER = SOUND_RATE / 50 / HOP, BEFORE = 4 };

/* Two of aubio's detectors listen side by side. High frequency content is the steadiest on drums
 * and hears them through loud winds, but loses a dull knock in hiss; energy hears that. Of two
 * onsets within 40 ms the first detector's stays. */
static const char *const methods[] = {"hfc", "energy"};
enum { EARS = 2, SAME = SOUND_RATE / 25 };

struct detector {
    aubio_onset_t *onset;
    int64_t *at; /* in samples */
    size_t n, cap;
};

struct ear {
    struct detector detector[EARS];
    fvec_t *in, *out;
    size_t filled;  /* samples in `in` */
    double *energy; /* mean square of each hop */
    size_t n_hops, cap_hops;
    int64_t from_us;
    bool begun;
    hear_progress progress;
    void *user;
    double told; /* progress told last */
};

static void quiet(sint_t level, const char_t *message, void *data)
{
    (void)level, (void)message, (void)data;
}

static void detect(struct detector *d, const fvec_t *in, fvec_t *out)
{
    aubio_onset_do(d->onset, in, out);
    if (out->data[0] <= 0)
        return;
    const int64_t at = aubio_onset_get_last(d->onset);
    if (d->n > 0 && at <= d->at[d->n - 1])
        return;
    d->at = array_grow(d->at, d->n, &d->cap, sizeof *d->at);
    d->at[d->n++] = at;
}

static void hear_hop(struct ear *r)
{
    double sum = 0;
    for (size_t i = 0; i < HOP; i++)
        sum += (double)r->in->data[i] * (double)r->in->data[i];
    r->energy = array_grow(r->energy, r->n_hops, &r->cap_hops, sizeof *r->energy);
    r->energy[r->n_hops++] = sum / HOP;
    for (size_t i = 0; i < EARS; i++)
        detect(&r->detector[i], r->in, r->out);
}

static bool listen(void *user, const struct sound_chunk *chunk)
{
    struct ear *r = user;
    if (!r->begun)
        r->from_us = chunk->at_us;
    r->begun = true;
    for (size_t i = 0; i < chunk->n; i++) {
        const float x = chunk->samples[i];
        r->in->data[r->filled++] = isfinite(x) ? x : 0;
        if (r->filled < HOP)
            continue;
        hear_hop(r);
        r->filled = 0;
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
static double rise(const struct ear *r, int64_t at)
{
    const size_t hop = (size_t)(at / HOP), end = r->n_hops;
    const size_t after = hop + 1 + AFTER < end ? hop + 1 + AFTER : end;
    const double loud = mean(r->energy, hop < end ? hop : end, after);
    const double before = mean(r->energy, hop > BEFORE ? hop - BEFORE : 0, hop < end ? hop : end);
    return sqrt(fmax(loud - before, 1e-10));
}

static void add_onset(const struct ear *r, int64_t at, struct heard *out)
{
    out->onset[out->n++] = (struct hear_onset){
        .at_us = r->from_us + at * 1000000 / SOUND_RATE,
        .strength = rise(r, at),
    };
}

/* Both detectors' onsets in time order. */
static void merge(const struct ear *r, struct heard *out)
{
    const struct detector *a = &r->detector[0], *b = &r->detector[1];
    for (size_t i = 0, j = 0; i < a->n || j < b->n;) {
        const bool take_a = j == b->n || (i < a->n && a->at[i] <= b->at[j]);
        if (take_a) {
            add_onset(r, a->at[i++], out);
            continue;
        }
        const bool before = i > 0 && b->at[j] - a->at[i - 1] < SAME;
        const bool behind = i < a->n && a->at[i] - b->at[j] < SAME;
        if (!before && !behind)
            add_onset(r, b->at[j], out);
        j++;
    }
}

static void tell(const struct ear *r, struct arena *a, struct heard *out)
{
    const size_t most = r->detector[0].n + r->detector[1].n;
    const double mean_square = mean(r->energy, 0, r->n_hops);
    *out = (struct heard){
        .onset = arena_alloc(a, most * sizeof *out->onset),
        .from_us = r->from_us,
        .to_us = r->from_us + (int64_t)(r->n_hops * HOP * UINT64_C(1000000) / SOUND_RATE),
        .loudness_db = mean_square > 1e-12 ? 10 * log10(mean_square) : -120,
    };
    merge(r, out);
}

/* aubio looks at no allocation while it makes a detector: short of memory it would crash. Whether
 * there is enough for all it takes (some 300 kB) is asked before; between question and use another
 * thread may still take it. */
static bool memory_for_aubio(void)
{
    void *volatile p = malloc(1 << 20);
    free(p);
    return p != NULL;
}

static bool ear_open(struct ear *r)
{
    if (!memory_for_aubio())
        return false;
    r->in = new_fvec(HOP);
    r->out = new_fvec(1);
    bool ok = r->in && r->out;
    for (size_t i = 0; i < EARS; i++) {
        r->detector[i].onset = new_aubio_onset(methods[i], WINDOW, HOP, SOUND_RATE);
        ok = ok && r->detector[i].onset;
    }
    return ok;
}

static void ear_close(struct ear *r)
{
    for (size_t i = 0; i < EARS; i++) {
        if (r->detector[i].onset)
            del_aubio_onset(r->detector[i].onset);
        free(r->detector[i].at);
    }
    if (r->in)
        del_fvec(r->in);
    if (r->out)
        del_fvec(r->out);
    free(r->energy);
}

bool hear_onsets(const struct hear_want *want, struct arena *a, struct heard *out, struct err *e)
{
    aubio_log_set_function(quiet, NULL);
    struct ear r = {.progress = want->progress, .user = want->user};
    bool ok =
        ear_open(&r) ||
        err_set(e, ERR_FAILED, "%s: cannot be listened to: there is not enough memory", want->path);
    ok = ok && sound_decode(want->path, want->length_us, listen, &r, e);
    if (ok)
        tell(&r, a, out);
    ear_close(&r);
    return ok;
}
