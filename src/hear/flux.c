#include "hear/flux.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_fft_real_float.h>

#include "base/arena.h"
#include "clip/sound.h"

static const double lowest_hz = 60, highest_hz = 14000;
static const double fade_s = 3;      /* of the loudest that a band is measured by */
static const double floor_of = 1e-3; /* of the loudest of all: what is below is no sound */
static const double compression = 20;

/* A triangle over the bins of the spectrum, its sum 1. */
struct band {
    size_t first, n;
    float *weight;
};

struct flux {
    size_t length;                  /* of a window, in samples */
    float *window, *in, *transform; /* of that length */
    float *norm;                    /* of its length / 2 + 1 frequencies */
    size_t hop;
    struct band *bands;
    size_t n_bands;
    float *level; /* by look and band */
    size_t n, cap;
};

static void shape_band(struct band *b, double low, double middle, double high, size_t bins)
{
    double sum = 0;
    b->first = (size_t)fmin(ceil(low), (double)bins - 1);
    b->n = (size_t)fmin(floor(high), (double)bins - 1) + 1 - b->first;
    b->weight = xcalloc(b->n + 1, sizeof *b->weight);
    for (size_t k = 0; k < b->n; k++) {
        const double at = (double)(b->first + k);
        b->weight[k] =
            (float)fmax(fmin((at - low) / (middle - low), (high - at) / (high - middle)), 0);
        sum += b->weight[k];
    }
    if (sum <= 0) { /* narrower than a bin: the nearest one */
        b->first = (size_t)fmin(lround(middle), (double)bins - 1);
        b->n = 1;
        b->weight[0] = 1;
        sum = 1;
    }
    for (size_t k = 0; k < b->n; k++)
        b->weight[k] /= (float)sum;
}

static void shape_bands(struct flux *f, unsigned window)
{
    const double bin_hz = (double)SOUND_RATE / window;
    const double step = pow(highest_hz / lowest_hz, 1.0 / (double)(f->n_bands + 1));
    for (size_t i = 0; i < f->n_bands; i++) {
        const double low = lowest_hz * pow(step, (double)i) / bin_hz;
        shape_band(&f->bands[i], low, low * step, low * step * step, window / 2 + 1);
    }
}

/* Hann's, made for windows that overlap: the first value is 0, the last is not. */
static void shape_window(float *window, size_t n)
{
    for (size_t i = 0; i < n; i++)
        window[i] = (float)(0.5 * (1 - cos(2 * M_PI * (double)i / (double)n)));
}

struct flux *flux_open(unsigned window, unsigned hop, size_t bands)
{
    struct flux *f = xcalloc(1, sizeof *f);
    f->length = window;
    f->hop = hop;
    f->n_bands = bands;
    f->bands = xcalloc(bands, sizeof *f->bands);
    f->window = xcalloc(window, sizeof *f->window);
    f->in = xcalloc(window, sizeof *f->in);
    f->transform = xcalloc(window, sizeof *f->transform);
    f->norm = xcalloc(window / 2 + 1, sizeof *f->norm);
    shape_window(f->window, window);
    shape_bands(f, window);
    return f;
}

void flux_close(struct flux *f)
{
    if (!f)
        return;
    for (size_t i = 0; i < f->n_bands; i++)
        free(f->bands[i].weight);
    free(f->bands);
    free(f->window);
    free(f->in);
    free(f->transform);
    free(f->norm);
    free(f->level);
    free(f);
}

/* GSL keeps the real parts in the first half and the imaginary ones, from behind, in the second. */
static void look(struct flux *f, const float *samples)
{
    const size_t n = f->length, keeps = n - f->hop;
    memmove(f->in, f->in + f->hop, keeps * sizeof *f->in);
    memcpy(f->in + keeps, samples, f->hop * sizeof *samples);
    const float *in = f->in, *window = f->window;
    float *at = f->transform, *norm = f->norm;
    for (size_t i = 0; i < n; i++)
        at[i] = in[i] * window[i];
    gsl_fft_real_float_radix2_transform(at, 1, n);
    norm[0] = fabsf(at[0]);
    norm[n / 2] = fabsf(at[n / 2]);
    for (size_t k = 1; k < n / 2; k++)
        norm[k] = sqrtf(at[k] * at[k] + at[n - k] * at[n - k]);
}

void flux_feed(struct flux *f, const float *samples)
{
    look(f, samples);
    f->level = array_grow(f->level, f->n, &f->cap, f->n_bands * sizeof *f->level);
    float *level = f->level + f->n++ * f->n_bands;
    for (size_t i = 0; i < f->n_bands; i++) {
        const size_t n = f->bands[i].n;
        const float *weight = f->bands[i].weight, *norm = f->norm + f->bands[i].first;
        float sum = 0;
        for (size_t k = 0; k < n; k++)
            sum += weight[k] * norm[k];
        level[i] = sum;
    }
}

size_t flux_n(const struct flux *f)
{
    return f->n;
}

/* The loudest of a band around every look, before and after, fading; `floor` at least. */
static void measure(const struct flux *f, float floor, float *by)
{
    const float keeps = (float)exp(-(double)f->hop / SOUND_RATE / fade_s);
    const size_t m = f->n_bands;
    for (size_t b = 0; b < m; b++) {
        float loudest = floor;
        for (size_t i = 0; i < f->n; i++) {
            loudest = fmaxf(fmaxf(f->level[i * m + b], loudest * keeps), floor);
            by[i * m + b] = loudest;
        }
        loudest = floor;
        for (size_t i = f->n; i-- > 0;) {
            loudest = fmaxf(fmaxf(f->level[i * m + b], loudest * keeps), floor);
            by[i * m + b] = fminf(by[i * m + b], loudest);
        }
    }
}

/* What of a look is more than the largest of the bands around it was before; mean over the bands. */
static float more(const float *now, const float *before, size_t bands)
{
    float sum = 0;
    for (size_t b = 0; b < bands; b++) {
        float most = before[b];
        most = b > 0 ? fmaxf(most, before[b - 1]) : most;
        most = b + 1 < bands ? fmaxf(most, before[b + 1]) : most;
        sum += fmaxf(now[b] - most, 0);
    }
    return sum / (float)bands;
}

void flux_rise(const struct flux *f, size_t lag, float *rise, float *loud)
{
    const size_t m = f->n_bands, all = f->n * m;
    float most = 0;
    for (size_t i = 0; i < all; i++)
        most = fmaxf(most, f->level[i]);
    float *white = xcalloc(all + 1, sizeof *white);
    measure(f, fmaxf(most * (float)floor_of, 1e-6F), white);
    for (size_t i = 0; i < all; i++)
        white[i] = (float)log1p(compression * (double)(f->level[i] / white[i]));
    for (size_t i = 0; i < f->n; i++) {
        const bool begun = i >= lag;
        rise[i] = begun ? more(white + i * m, white + (i - lag) * m, m) : 0;
        if (loud)
            loud[i] = begun ? more(f->level + i * m, f->level + (i - lag) * m, m) : 0;
    }
    free(white);
}
