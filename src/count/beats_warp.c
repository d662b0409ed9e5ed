/* A time axis bent so that the expected tempo is one beat per unit. */
#include "count/beats_inner.h"

static const double guess_bpm = 128, knot_us = 250e3;

double beats_expected_bpm(const struct beat_prior *p, double t)
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
    w.n = p->n < 2 ? 2 : 2 + (size_t)((double)(to_us - from_us) / knot_us);
    w.t = arena_alloc(a, w.n * sizeof *w.t);
    w.u = arena_alloc(a, w.n * sizeof *w.u);
    const double step = p->n < 2 ? 1e6 : knot_us;
    for (size_t i = 0; i < w.n; i++) {
        w.t[i] = (double)from_us + (double)i * step;
        const double bpm = w.guessed ? guess_bpm : beats_expected_bpm(p, w.t[i] - step / 2);
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
