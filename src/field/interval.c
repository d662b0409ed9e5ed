#include "field/interval.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double normal_95 = 1.959963984540054;

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(struct arena *a, const struct length *gap, size_t n)
{
    double *all = arena_alloc(a, n * sizeof *all);
    for (size_t i = 0; i < n; i++)
        all[i] = gap[i].inches;
    qsort(all, n, sizeof *all, by_size);
    return n % 2 ? all[n / 2] : (all[n / 2 - 1] + all[n / 2]) / 2;
}

/* How the sum of the gaps moves with each coordinate of the clicks, and what that makes of their
 * covariance. */
static double sum_error(struct arena *a, const struct measured *m)
{
    double *slope = arena_alloc(a, 2 * m->n * sizeof *slope), v = 0;
    memset(slope, 0, 2 * m->n * sizeof *slope);
    for (size_t i = 0; i + 1 < m->n; i++) {
        const double x = m->at[i + 1].x - m->at[i].x, y = m->at[i + 1].y - m->at[i].y;
        const double d = hypot(x, y);
        slope[2 * i] -= x / d, slope[2 * i + 1] -= y / d;
        slope[2 * i + 2] += x / d, slope[2 * i + 3] += y / d;
    }
    for (size_t i = 0; i < 2 * m->n; i++)
        for (size_t k = 0; k < 2 * m->n; k++)
            v += slope[i] * slope[k] * m->cov[i * 2 * m->n + k];
    return normal_95 * sqrt(fmax(0, v));
}

int interval_furthest(const struct intervals *g, int side, double tolerance)
{
    int at = -1;
    double most = 0;
    for (size_t i = 0; i < g->n; i++) {
        const double off = side * (g->gap[i].inches - g->should);
        if (off > most && off > g->gap[i].error && off > tolerance) {
            most = off;
            at = (int)i;
        }
    }
    return at;
}

bool intervals(struct arena *a, const struct measured *m, double of, struct intervals *out,
               struct err *e)
{
    *out = (struct intervals){.closes = -1, .opens = -1};
    if (m->n < 2)
        return err_set(e, ERR_INPUT, "an interval lies between two clicks; there is %zu", m->n);
    out->n = m->n - 1;
    out->gap = arena_alloc(a, out->n * sizeof *out->gap);
    double sum = 0;
    for (size_t i = 0; i < out->n; i++) {
        out->gap[i] = measure_distance(m, i, i + 1);
        if (!(out->gap[i].inches > 0))
            return err_set(e, ERR_INPUT, "clicks %zu and %zu are on one spot", i + 1, i + 2);
        sum += out->gap[i].inches;
    }
    out->mean = (struct length){sum / (double)out->n, sum_error(a, m) / (double)out->n};
    out->should = isfinite(of) ? of : median(a, out->gap, out->n);
    out->closes = interval_furthest(out, -1, INTERVAL_TOLERANCE_IN);
    out->opens = interval_furthest(out, 1, INTERVAL_TOLERANCE_IN);
    return true;
}
