/* Which tempo, window by window: how well the onsets agree on one phase, for every tempo in reach,
 * and the smoothest path of good agreement through the windows (Viterbi). */
#include "count/beats_inner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Windows of 16 expected beats, every two; tempi in steps of 0.4 per cent. */
static const double half_window = 8, hop = 2, tempo_step = 0.004;
/* A tempo may change by 2.5 % from window to window without effort; a leap costs as much as
 * two windows at a wrong tempo. */
static const double smooth = 0.025, leap = 20;
static const double guess_bpm = 134, slowest_guess = 90, fastest_guess = 200;
static const double knot_us = 250e3;

/* --- the bent axis ------------------------------------------------------------------------- */

static double expected_bpm(const struct beat_prior *p, double t)
{
    size_t i = 0;
    while (i < p->n && (double)p->points[i].at_us <= t)
        i++;
    if (i == 0)
        return p->points[0].bpm;
    if (i == p->n)
        return p->points[p->n - 1].bpm;
    const struct tempo_point *a = &p->points[i - 1], *b = &p->points[i];
    const double part = (t - (double)a->at_us) / (double)(b->at_us - a->at_us);
    return a->bpm + part * (b->bpm - a->bpm);
}

struct warp warp_make(struct arena *a, const struct beat_prior *p, int64_t from_us, int64_t to_us)
{
    struct warp w = {.guessed = p->n == 0};
    const double width = p->width > 0 ? p->width : 0.15;
    w.lowest = w.guessed ? slowest_guess / guess_bpm : 1 / (1 + width);
    w.highest = w.guessed ? fastest_guess / guess_bpm : 1 + width;
    w.n = p->n < 2 ? 2 : 2 + (size_t)((double)(to_us - from_us) / knot_us);
    w.t = arena_alloc(a, w.n * sizeof *w.t);
    w.u = arena_alloc(a, w.n * sizeof *w.u);
    const double step = p->n < 2 ? 1e6 : knot_us;
    for (size_t i = 0; i < w.n; i++) {
        w.t[i] = (double)from_us + (double)i * step;
        const double bpm = w.guessed ? guess_bpm : expected_bpm(p, w.t[i] - step / 2);
        w.u[i] = i ? w.u[i - 1] + step * bpm / 60e6 : 0;
    }
    return w;
}

/* y at x along rising knots. */
static double along(const double *xs, const double *ys, size_t n, double x)
{
    size_t lo = 0, hi = n - 1;
    while (hi - lo > 1) {
        const size_t mid = lo + (hi - lo) / 2;
        if (xs[mid] <= x)
            lo = mid;
        else
            hi = mid;
    }
    return ys[lo] + (x - xs[lo]) * (ys[hi] - ys[lo]) / (xs[hi] - xs[lo]);
}

double warp_u(const struct warp *w, double t)
{
    return along(w->t, w->u, w->n, t);
}

double warp_t(const struct warp *w, double u)
{
    return along(w->u, w->t, w->n, u);
}

/* --- agreement ----------------------------------------------------------------------------- */

/* One window's onsets with their weights tapered to its ends. */
struct window {
    double *u, *weight;
    size_t n;
    double sum, effective; /* how many onsets of equal weight it is worth */
};

static void fill_window(struct window *win, const struct hits *h, double centre)
{
    double squares = 0;
    win->n = 0;
    win->sum = 0;
    for (size_t i = 0; i < h->n; i++) {
        const double x = (h->u[i] - centre) / half_window;
        if (fabs(x) >= 1)
            continue;
        const double weight = h->weight[i] * (0.5 + 0.5 * cos(M_PI * x));
        win->u[win->n] = h->u[i] - centre;
        win->weight[win->n++] = weight;
        win->sum += weight;
        squares += weight * weight;
    }
    win->effective = squares > 0 ? win->sum * win->sum / squares : 0;
}

/* 0 .. 1: 1 when all onsets of the window lie on one beat of this ratio. */
static double agreement(const struct window *win, double ratio)
{
    double re = 0, im = 0;
    for (size_t i = 0; i < win->n; i++) {
        double s, c;
        sincos(2 * M_PI * ratio * win->u[i], &s, &c);
        re += win->weight[i] * c;
        im += win->weight[i] * s;
    }
    return win->sum > 0 ? sqrt(re * re + im * im) / win->sum : 0;
}

/* Evidence for a tempo: agreement on the beat, and some for its halves and (where that cannot
 * mislead) quarters. */
static double evidence(const struct window *win, double ratio, bool guessed)
{
    const double one = agreement(win, ratio), two = agreement(win, 2 * ratio);
    const double four = guessed ? 0 : agreement(win, 4 * ratio);
    return fmin(win->effective, 20) * (one + 0.5 * two + 0.3 * four);
}

/* What speaks for a tempo before anything is heard. */
static double expectation(double ratio, const struct warp *w)
{
    const double x = w->guessed ? log2(ratio) / 0.7 : log(ratio) / log(w->highest);
    return -x * x / 2;
}

/* How sure the best agreement is not chance. Of n onsets that fall anywhere, agreement over R has
 * odds of about (1 - R^2)^(n - 1); and the best of several tries was taken: three harmonics, and as
 * many tempi as the window can tell apart. */
static double sureness(const struct window *win, double ratio, const struct warp *w)
{
    const double tries = 3 * (1 + half_window * (w->highest - w->lowest));
    const double one = agreement(win, ratio), two = agreement(win, 2 * ratio),
                 four = agreement(win, 4 * ratio);
    const double best = fmax(one, fmax(two, four));
    return (win->effective - 1) * -log1p(-fmin(best * best, 0.99)) - log(tries);
}

/* --- the path ------------------------------------------------------------------------------ */

struct lattice {
    size_t tempi, windows;
    double *ratio; /* tempi */
    double *gain;  /* windows x tempi: evidence */
    double *score; /* windows x tempi: best path so far */
    int *from;     /* windows x tempi */
};

/* What it costs to go from one tempo to another between windows, in steps of the grid. */
static double effort(int steps)
{
    const double x = steps * tempo_step / smooth;
    return fmin(x * x / 2, leap);
}

static void best_paths(struct lattice *l)
{
    const int tempi = (int)l->tempi;
    double *cost = xcalloc(l->tempi, sizeof *cost);
    for (int d = 0; d < tempi; d++)
        cost[d] = effort(d);
    for (size_t j = 0; j < l->windows; j++) {
        double *score = l->score + j * l->tempi;
        const double *before = score - l->tempi;
        for (int m = 0; m < tempi; m++) {
            int from = m;
            for (int k = 0; j > 0 && k < tempi; k++)
                if (before[k] - cost[abs(m - k)] > before[from] - cost[abs(m - from)])
                    from = k;
            score[m] = l->gain[j * l->tempi + (size_t)m] +
                       (j > 0 ? before[from] - cost[abs(m - from)] : 0);
            l->from[j * l->tempi + (size_t)m] = from;
        }
    }
    free(cost);
}

/* The top of a parabola through the gains around a tempo, so that steps do not show. */
static double between_steps(const struct lattice *l, size_t j, size_t m)
{
    const double *g = l->gain + j * l->tempi + m;
    if (m == 0 || m + 1 == l->tempi)
        return l->ratio[m];
    const double bend = g[-1] - 2 * g[0] + g[1];
    const double x = bend < 0 ? (g[-1] - g[1]) / (2 * bend) : 0;
    return l->ratio[m] * exp(fmin(fmax(x, -1), 1) * tempo_step);
}

static void walk_back(const struct lattice *l, struct pulse *p)
{
    size_t m = 0;
    const double *last = l->score + (l->windows - 1) * l->tempi;
    for (size_t k = 1; k < l->tempi; k++)
        m = last[k] > last[m] ? k : m;
    for (size_t j = l->windows; j-- > 0;) {
        p->ratio[j] = between_steps(l, j, m);
        m = (size_t)l->from[j * l->tempi + m];
    }
}

static struct lattice lattice_make(const struct warp *w, size_t windows)
{
    struct lattice l = {.windows = windows};
    l.tempi = 1 + (size_t)(log(w->highest / w->lowest) / tempo_step);
    l.ratio = xcalloc(l.tempi, sizeof *l.ratio);
    l.gain = xcalloc(windows * l.tempi, sizeof *l.gain);
    l.score = xcalloc(windows * l.tempi, sizeof *l.score);
    l.from = xcalloc(windows * l.tempi, sizeof *l.from);
    for (size_t m = 0; m < l.tempi; m++)
        l.ratio[m] = w->lowest * exp((double)m * tempo_step);
    return l;
}

struct pulse pulse_find(struct arena *a, const struct hits *h, const struct warp *w)
{
    struct pulse p = {.from = h->u[0], .step = hop};
    p.n = 1 + (size_t)ceil((h->u[h->n - 1] - h->u[0]) / hop);
    p.ratio = arena_alloc(a, p.n * sizeof *p.ratio);
    p.sure = arena_alloc(a, p.n * sizeof *p.sure);
    struct lattice l = lattice_make(w, p.n);
    struct window win = {.u = xcalloc(h->n, sizeof(double)),
                         .weight = xcalloc(h->n, sizeof(double))};
    for (size_t j = 0; j < p.n; j++) {
        fill_window(&win, h, p.from + (double)j * hop);
        for (size_t m = 0; m < l.tempi; m++)
            l.gain[j * l.tempi + m] =
                evidence(&win, l.ratio[m], w->guessed) + expectation(l.ratio[m], w);
    }
    best_paths(&l);
    walk_back(&l, &p);
    for (size_t j = 0; j < p.n; j++) {
        fill_window(&win, h, p.from + (double)j * hop);
        p.sure[j] = sureness(&win, p.ratio[j], w);
    }
    free(win.u);
    free(win.weight);
    free(l.ratio);
    free(l.gain);
    free(l.score);
    free(l.from);
    return p;
}

static double value_at(const struct pulse *p, const double *v, double u)
{
    const double x = fmin(fmax((u - p->from) / p->step, 0), (double)p->n - 1);
    const size_t i = (size_t)x;
    return i + 1 < p->n ? v[i] + (x - (double)i) * (v[i + 1] - v[i]) : v[i];
}

double pulse_ratio(const struct pulse *p, double u)
{
    return value_at(p, p->ratio, u);
}

double pulse_sure(const struct pulse *p, double u)
{
    return value_at(p, p->sure, u);
}
