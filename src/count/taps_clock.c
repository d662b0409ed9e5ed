#include "count/taps.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>

enum { BIAS_LEAST = 8 };

void taps_to_clip(const struct tap_clock *c, const int64_t *wall_us, size_t n, int64_t *clip_us)
{
    for (size_t i = 0; i < n; i++) {
        const double passed = (double)(wall_us[i] - c->wall_us) - c->bias_us;
        clip_us[i] = c->clip_us + llround(passed * c->speed);
    }
}

/* Index of the beat nearest to t. */
static size_t nearest(const int64_t *beats, size_t n, int64_t t)
{
    size_t lo = 0, hi = n;
    while (lo < hi) {
        const size_t mid = lo + (hi - lo) / 2;
        if (beats[mid] < t)
            lo = mid + 1;
        else
            hi = mid;
    }
    if (lo == n || (lo > 0 && t - beats[lo - 1] < beats[lo] - t))
        lo--;
    return lo;
}

/* Keeps what is within 3.5 robust deviations (or 15 ms) of the median; returns how many. */
static size_t keep_usual(double *x, size_t n)
{
    double *work = xcalloc(n, sizeof *work);
    memcpy(work, x, n * sizeof *x);
    const double middle = gsl_stats_median(work, 1, n);
    for (size_t i = 0; i < n; i++)
        work[i] = fabs(x[i] - middle);
    const double cut = fmax(3.5 * 1.4826 * gsl_stats_median(work, 1, n), 15e3);
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (fabs(x[i] - middle) <= cut)
            x[kept++] = x[i];
    free(work);
    return kept;
}

bool taps_bias(struct tap_times taps, struct tap_times beats, struct tap_bias *out, struct err *e)
{
    const size_t n = taps.n;
    if (n < BIAS_LEAST || beats.n < BIAS_LEAST)
        return err_set(e, ERR_INPUT, "%zu taps on %zu beats; tap along with %d beats or more", n,
                       beats.n, BIAS_LEAST);
    double *x = xcalloc(n, sizeof *x);
    for (size_t i = 0; i < n; i++)
        x[i] = (double)(taps.us[i] - beats.us[nearest(beats.us, beats.n, taps.us[i])]);
    const size_t kept = keep_usual(x, n);
    const double mean = gsl_stats_mean(x, 1, kept);
    const double sd = gsl_stats_sd(x, 1, kept);
    free(x);
    const double beat = (double)(beats.us[beats.n - 1] - beats.us[0]) / (double)(beats.n - 1);
    if (kept < BIAS_LEAST || kept * 3 < n * 2 || sd > 0.12 * beat)
        return err_set(e, ERR_INPUT,
                       "the taps do not follow the beats (they scatter by %.0f ms); listen first, "
                       "then tap along again",
                       sd * 1e-3);
    *out = (struct tap_bias){
        .us = mean,
        .error_us = gsl_cdf_tdist_Pinv(0.975, (double)kept - 1) * sd / sqrt((double)kept),
        .spread_us = sd,
        .used = (int)kept,
        .set_aside = (int)(n - kept),
    };
    return true;
}
