#include "count/taps.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_fit.h>
#include <gsl/gsl_statistics_double.h>

enum { TAPS_LEAST = 3, SCATTER_LEAST = 4, TAPS_MOST = 1000, BEATS_MOST = 4000, ROUNDS = 20 };

static const double at_once_us = 100e3;   /* 600 bpm: nobody taps that on purpose */
static const double usual_us = 15e3;      /* how people scatter */
static const double floor_us = 45e3;      /* less than this is never an outlier */
static const double outlier_spread = 3.5; /* in standard deviations */
static const double unsteady = 0.09;      /* of a beat: about twice what untrained people scatter */

/* A line under work: times relative to the first tap, beats, and what stands. */
struct line {
    double *t; /* sorted */
    int *beat;
    size_t n;
    const double *w; /* written seconds of each beat, NULL: steady, W = k */
    size_t n_w;
    double a, s; /* at W = 0; us per second written, or per beat */
};

/* --- the shape ----------------------------------------------------------------------------- */

static double written(const struct line *l, int k)
{
    return l->w ? l->w[k] : k;
}

/* The beat interval that holds v: its index in w. */
static size_t interval(const struct line *l, double v)
{
    size_t lo = 0, hi = l->n_w - 1;
    while (hi - lo > 1) {
        const size_t mid = lo + (hi - lo) / 2;
        if (l->w[mid] <= v)
            lo = mid;
        else
            hi = mid;
    }
    return lo;
}

/* How many beats have passed when v has, with the fraction. */
static double beats_at(const struct line *l, double v)
{
    if (!l->w)
        return v;
    const size_t i = interval(l, v);
    return (double)i + (v - l->w[i]) / (l->w[i + 1] - l->w[i]);
}

static int nearest_beat(const struct line *l, double t)
{
    const double k = round(beats_at(l, (t - l->a) / l->s));
    return (int)fmin(fmax(k, 0), l->w ? (double)l->n_w - 1 : 1e6);
}

/* Length of beat k in us as the line has it. */
static double beat_us(const struct line *l, int k)
{
    if (!l->w)
        return l->s;
    const size_t i = (size_t)k < l->n_w - 1 ? (size_t)k : l->n_w - 2;
    return l->s * (l->w[i + 1] - l->w[i]);
}

/* --- a first guess ------------------------------------------------------------------------- */

/* How well the taps agree on one phase at scale s, 0 .. 1; the phase is the argument. Doubles
 * stay out. */
static double complex agreement(const struct line *l, double s)
{
    double complex sum = 0;
    size_t n = 0;
    for (size_t i = 0; i < l->n; i++) {
        if (l->beat[i] == TAP_DOUBLE)
            continue;
        sum += cexp(2 * M_PI * I * beats_at(l, l->t[i] / s));
        n++;
    }
    return sum / (double)n;
}

/* The scale of best agreement between from and to, in steps of a fiftieth of a beat at the end. */
static double scan(const struct line *l, double from, double to, double *best)
{
    const double beats = fabs(beats_at(l, l->t[l->n - 1] / from)) + 1;
    const double step = 1 + 0.02 / beats;
    double s_best = from;
    *best = -1;
    for (double s = from; s <= to; s *= step) {
        const double score = cabs(agreement(l, s));
        if (score > *best) {
            *best = score;
            s_best = s;
        }
    }
    return s_best;
}

static void take_phase(struct line *l)
{
    l->a = carg(agreement(l, l->s)) / (2 * M_PI) * beat_us(l, 0);
}

static double median_gap(const struct line *l)
{
    double *gap = xcalloc(l->n, sizeof *gap), last = NAN;
    size_t n = 0;
    for (size_t i = 0; i < l->n; i++) {
        if (l->beat[i] == TAP_DOUBLE)
            continue;
        if (!isnan(last))
            gap[n++] = l->t[i] - last;
        last = l->t[i];
    }
    const double median = gsl_stats_median(gap, 1, n);
    free(gap);
    return median;
}

/* The usual gap between taps is a beat; or two, when many beats went without. */
static void guess_steady(struct line *l)
{
    double one, half;
    const double gap = median_gap(l);
    const double whole = scan(l, gap * 0.8, gap * 1.25, &one);
    const double halved = scan(l, gap * 0.4, gap * 0.625, &half);
    l->s = half > one + 0.2 ? halved : whole;
    take_phase(l);
}

static void guess_written(struct line *l)
{
    double score;
    l->s = scan(l, 0.7e6, 1.4e6, &score);
    take_phase(l);
}

/* --- the fit ------------------------------------------------------------------------------- */

static double off(const struct line *l, size_t i, int k)
{
    return l->t[i] - l->a - l->s * written(l, k);
}

/* Gives every tap its beat; of two on one beat the nearer stays. Returns how many stay. */
static size_t number_taps(struct line *l)
{
    size_t n = 0, last = l->n;
    for (size_t i = 0; i < l->n; i++) {
        const int k = nearest_beat(l, l->t[i]);
        const bool twice = last < l->n && l->beat[last] == k;
        if (twice && fabs(off(l, i, k)) >= fabs(off(l, last, k))) {
            l->beat[i] = TAP_DOUBLE;
            continue;
        }
        if (twice)
            l->beat[last] = TAP_DOUBLE;
        n += !twice;
        l->beat[i] = k;
        last = i;
    }
    return n;
}

/* Sets aside what is far from the line; returns how many stay. */
static size_t set_aside(struct line *l)
{
    double *r = xcalloc(2 * l->n, sizeof *r), *work = r + l->n;
    size_t n = 0, kept = 0;
    for (size_t i = 0; i < l->n; i++)
        if (l->beat[i] != TAP_DOUBLE)
            r[n++] = off(l, i, l->beat[i]);
    if (n < SCATTER_LEAST) { /* of three nobody can say which is the odd one */
        free(r);
        return n;
    }
    memcpy(work, r, n * sizeof *r);
    const double middle = gsl_stats_median(work, 1, n);
    for (size_t i = 0; i < n; i++)
        work[i] = fabs(r[i] - middle);
    const double spread = 1.4826 * gsl_stats_median(work, 1, n);
    for (size_t i = 0; i < l->n; i++) {
        if (l->beat[i] == TAP_DOUBLE)
            continue;
        const double cut =
            fmin(fmax(outlier_spread * spread, floor_us), 0.35 * beat_us(l, l->beat[i]));
        if (fabs(off(l, i, l->beat[i]) - middle) > cut)
            l->beat[i] = TAP_OUTLIER;
        else
            kept++;
    }
    free(r);
    return kept;
}

/* Least squares over the taps that stay. Returns the sum of squares. */
static double least_squares(struct line *l)
{
    double *x = xcalloc(2 * l->n, sizeof *x), *y = x + l->n, cov[3], sumsq;
    size_t n = 0;
    for (size_t i = 0; i < l->n; i++) {
        if (l->beat[i] < 0)
            continue;
        x[n] = written(l, l->beat[i]);
        y[n++] = l->t[i];
    }
    gsl_fit_linear(x, 1, y, 1, n, &l->a, &l->s, &cov[0], &cov[1], &cov[2], &sumsq);
    free(x);
    return sumsq;
}

/* The line of least absolute distances, by reweighting: far taps pull no harder than near ones. The
 * start for everything that follows, since the guess still leans towards them. */
static void least_distances(struct line *l)
{
    double *x = xcalloc(3 * l->n, sizeof *x), *y = x + l->n, *weight = y + l->n;
    for (int round = 0; round < ROUNDS; round++) {
        double cov[3], chisq;
        size_t n = 0;
        number_taps(l);
        for (size_t i = 0; i < l->n; i++) {
            if (l->beat[i] < 0)
                continue;
            x[n] = written(l, l->beat[i]);
            y[n] = l->t[i];
            weight[n++] = 1 / fmax(fabs(off(l, i, l->beat[i])), 2e3);
        }
        if (n < TAPS_LEAST)
            break;
        gsl_fit_wlinear(x, 1, weight, 1, y, 1, n, &l->a, &l->s, &cov[0], &cov[1], &cov[2], &chisq);
    }
    free(x);
}

/* Numbers, sets aside and fits until nothing changes. Returns how many taps stay; 0 when too few
 * do. */
static size_t settle(struct line *l, double *sumsq)
{
    int *last = xcalloc(l->n, sizeof *last);
    size_t kept = 0;
    least_distances(l);
    for (int round = 0; round < ROUNDS; round++) {
        number_taps(l);
        kept = set_aside(l);
        if (kept < TAPS_LEAST) {
            kept = 0;
            break;
        }
        if (round > 0 && memcmp(last, l->beat, l->n * sizeof *last) == 0)
            break;
        memcpy(last, l->beat, l->n * sizeof *last);
        *sumsq = least_squares(l);
    }
    free(last);
    return kept;
}

/* How sure the line is. */
static void judge(const struct line *l, struct tap_cov *out)
{
    double *beat = xcalloc(3 * l->n, sizeof *beat), *w = beat + l->n, *t = w + l->n;
    struct tap_points p = {beat, w, t, 0};
    for (size_t i = 0; i < l->n; i++) {
        if (l->beat[i] < 0)
            continue;
        beat[p.n] = l->beat[i];
        w[p.n] = written(l, l->beat[i]);
        t[p.n++] = l->t[i];
    }
    tap_cov_of(&p, usual_us, out);
    free(beat);
}

static int by_time(const void *a, const void *b)
{
    const int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* Sorted, relative to the first, bounces marked. Returns how many are no bounces. */
static size_t load(struct arena *a, struct line *l, const int64_t *taps_us, size_t n, int64_t *t0)
{
    int64_t *sorted = arena_alloc(a, n * sizeof *sorted);
    memcpy(sorted, taps_us, n * sizeof *sorted);
    qsort(sorted, n, sizeof *sorted, by_time);
    l->t = arena_alloc(a, n * sizeof *l->t);
    l->beat = arena_alloc(a, n * sizeof *l->beat);
    l->n = n;
    *t0 = sorted[0];
    double last = -1e18;
    size_t apart = 0;
    for (size_t i = 0; i < n; i++) {
        l->t[i] = (double)(sorted[i] - *t0);
        const bool bounce = l->t[i] - last < at_once_us;
        l->beat[i] = bounce ? TAP_DOUBLE : 0;
        last = bounce ? last : l->t[i];
        apart += !bounce;
    }
    return apart;
}

static bool too_few(size_t n, struct err *e)
{
    return err_set(e, ERR_INPUT, "%zu tap%s: tap the beat %d times or more", n, n == 1 ? "" : "s",
                   TAPS_LEAST);
}

/* Counts what became of the taps; residuals. */
static void tally(struct arena *a, const struct line *l, struct tap_fit *out)
{
    int last = -1, most = 0, least = INT32_MAX, beats = 0;
    out->beat = l->beat;
    out->off_us = arena_alloc(a, l->n * sizeof *out->off_us);
    for (size_t i = 0; i < l->n; i++) {
        const int k = l->beat[i];
        out->doubles += k == TAP_DOUBLE;
        out->outliers += k == TAP_OUTLIER;
        if (k < 0)
            continue;
        out->off_us[i] = off(l, i, k);
        out->used++;
        beats += k != last;
        last = k;
        most = k > most ? k : most;
        least = k < least ? k : least;
    }
    out->missed = most - least + 1 - beats;
}

/* Fits the loaded and guessed line; everything but bpm and what is said about the written tempo. */
static bool finish(struct arena *a, struct line *l, int64_t t0, size_t apart, struct tap_fit *out,
                   struct err *e)
{
    double sumsq = 0;
    struct tap_fit f = {.written = l->w, .n_written = l->n_w};
    const size_t kept = settle(l, &sumsq);
    tally(a, l, &f);
    const double df = (double)kept - 2;
    f.residual_us = kept ? sqrt(sumsq / df) : 0;
    const bool scattered = kept * 10 < apart * 7 || f.missed > f.used;
    if (!kept || scattered || f.residual_us > unsteady * beat_us(l, 0))
        return err_set(e, ERR_INPUT,
                       "the taps keep no steady beat (%d of %zu fit together); tap along again, "
                       "eight beats or more",
                       f.used, l->n);
    judge(l, &f.cov);
    f.at_us = (double)t0 + l->a;
    f.at_error_us = tap_cov_error(&f.cov, 0);
    f.slope = l->s;
    f.period_us = beat_us(l, 0);
    f.period_error_us = f.period_us / l->s * tap_cov_slope(&f.cov);
    f.bpm = 60e6 / f.period_us;
    f.bpm_error = f.bpm * f.period_error_us / f.period_us;
    if (f.bpm_error > 0.1 * f.bpm)
        return err_set(e, ERR_INPUT,
                       "%d taps leave the tempo open (%.0f +-%.0f bpm); tap longer or more evenly",
                       f.used, f.bpm, f.bpm_error);
    *out = f;
    return true;
}

static bool enough(size_t n, size_t apart, struct err *e)
{
    if (n < TAPS_LEAST)
        return too_few(n, e);
    if (n > TAPS_MOST)
        return err_set(e, ERR_INPUT, "%zu taps: a line through them holds up to %d; tap 8 to 64", n,
                       TAPS_MOST);
    if (apart < TAPS_LEAST)
        return err_set(e, ERR_INPUT,
                       "%zu taps within a moment: tap once on every beat, %d times or more", n,
                       TAPS_LEAST);
    return true;
}

bool taps_fit(struct arena *a, struct tap_times taps, double written_bpm, struct tap_fit *out,
              struct err *e)
{
    static const double octaves[] = {1, 2, 0.5};
    struct line l = {0};
    int64_t t0 = 0;
    const size_t apart = taps.n ? load(a, &l, taps.us, taps.n, &t0) : 0;
    if (!enough(taps.n, apart, e))
        return false;
    guess_steady(&l);
    if (!finish(a, &l, t0, apart, out, e))
        return false;
    if (!(written_bpm > 0))
        return true;
    out->ratio = out->bpm / written_bpm;
    out->ratio_error = out->bpm_error / written_bpm;
    for (size_t i = 0; i < 3 && out->octave == 0; i++)
        if (fabs(log(out->ratio * octaves[i])) < log(1.2))
            out->octave = octaves[i];
    return true;
}

bool taps_fit_written(struct arena *a, struct tap_times taps, const struct passage *p,
                      struct tap_fit *out, struct err *e)
{
    struct line l = {0};
    int64_t t0 = 0;
    const size_t apart = taps.n ? load(a, &l, taps.us, taps.n, &t0) : 0;
    if (!enough(taps.n, apart, e))
        return false;
    double *w = arena_alloc(a, BEATS_MOST * sizeof *w);
    l.w = w;
    l.n_w = written_counts(p, w, BEATS_MOST);
    if (l.n_w < TAPS_LEAST)
        return err_set(e, ERR_INPUT,
                       "set %s from count %g on has too few counts of known tempo to lay taps "
                       "against; give it a tempo, or tap where it is steady",
                       p->sets.at[p->first.set].label, p->first.count);
    guess_written(&l);
    if (!finish(a, &l, t0, apart, out, e))
        return false;
    out->ratio = 1e6 / out->slope;
    out->ratio_error = out->ratio * out->bpm_error / out->bpm;
    out->octave = 1;
    return true;
}

double taps_time(const struct tap_fit *f, int k, double *error_us)
{
    const double w = f->written ? f->written[k] : k;
    if (error_us)
        *error_us = tap_cov_error(&f->cov, w);
    return f->at_us + f->slope * w;
}

bool taps_anchor(const struct tap_fit *f, const struct passage *p, struct map_anchor *out,
                 double *error_us, struct err *e)
{
    const int taps = f->used + f->outliers + f->doubles;
    double sum = 0;
    for (int i = 0; i < taps; i++)
        sum += f->beat[i] >= 0 ? f->beat[i] : 0;
    const int k = (int)lround(sum / f->used);
    struct place at;
    if (!place_after(p, k, &at))
        return err_set(e, ERR_INPUT,
                       "the show ends before the middle of the taps, %d counts after set %s count "
                       "%g; begin them earlier",
                       k, p->sets.at[p->first.set].label, p->first.count);
    *out = (struct map_anchor){llround(taps_time(f, k, error_us)), at.set, at.count, 0, 0};
    out->error_us = llround(*error_us);
    return true;
}
