#include "hear/stretches.h"

#include <math.h>
#include <stdlib.h>

enum { HOP = SPEECH_RATE / 100, PAUSE = 60, LEAST = 15, AROUND = 25 /* hops */ };

/* dB of full scale; silence of digits counts as -90. */
static float *loudness(const struct speech_samples *s, size_t *n)
{
    *n = s->n / HOP;
    float *db = xcalloc(*n + 1, sizeof *db);
    for (size_t i = 0; i < *n; i++) {
        double sum = 0;
        for (size_t k = 0; k < HOP; k++)
            sum += (double)s->at[i * HOP + k] * (double)s->at[i * HOP + k];
        db[i] = (float)fmax(10 * log10(sum / HOP / (32768.0 * 32768.0) + 1e-12), -90);
    }
    return db;
}

static int ascending(const void *a, const void *b)
{
    const float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

/* A third of the way from the quietest tenth to the loudest twentieth. Where it is as loud all the time it is
 * a room (below -45 dB) or somebody who talks all the time. */
static float threshold(const float *db, size_t n)
{
    float *sorted = xcalloc(n + 1, sizeof *sorted);
    for (size_t i = 0; i < n; i++)
        sorted[i] = db[i];
    qsort(sorted, n, sizeof *sorted, ascending);
    const float quiet = sorted[n / 10], loud = sorted[n - 1 - n / 20];
    free(sorted);
    return fmaxf(quiet + (loud - quiet) / 3, fmaxf(fminf(quiet + 6, -45), -60));
}

struct finding {
    struct stretch *at;
    size_t n, cap;
    size_t n_hops;
};

static void found(struct finding *f, size_t first, size_t last)
{
    if (last - first + 1 < LEAST)
        return;
    const size_t from = first > AROUND ? first - AROUND : 0;
    const size_t to = last + 1 + AROUND < f->n_hops ? last + 1 + AROUND : f->n_hops;
    f->at = array_grow(f->at, f->n, &f->cap, sizeof *f->at);
    f->at[f->n++] = (struct stretch){from * HOP, to * HOP};
}

struct stretch_list stretches_of(struct arena *a, const struct speech_samples *s)
{
    struct finding f = {0};
    float *db = loudness(s, &f.n_hops);
    const float least = f.n_hops ? threshold(db, f.n_hops) : 0;
    bool open = false;
    size_t first = 0, last = 0;
    for (size_t i = 0; i < f.n_hops; i++) {
        if (open && i - last > PAUSE) {
            found(&f, first, last);
            open = false;
        }
        if (db[i] < least)
            continue;
        first = open ? first : i;
        last = i;
        open = true;
    }
    if (open)
        found(&f, first, last);
    free(db);
    return (struct stretch_list){arena_take(a, f.at, f.n * sizeof *f.at), f.n};
}
