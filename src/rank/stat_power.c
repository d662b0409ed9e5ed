#include "rank/stat_power.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdbool.h>

enum { TOTALS = 200, TOTAL_MOST = 200000000 };

/* The most k of 0 .. n for which binomial P(X < k) is at most `most`: what lies below is that tail. */
static unsigned tail_below(unsigned n, double p, double most)
{
    unsigned low = 0, high = n + 1;
    while (high - low > 1) {
        const unsigned middle = low + (high - low) / 2;
        *(gsl_cdf_binomial_P(middle - 1, p, n) <= most ? &low : &high) = middle;
    }
    return low;
}

/* Given a total n, how likely the test calls x1 of n different from the share p0 when it is q. Both
 * tails of at most half the level each: at most a little less than the minlike test sees. */
static double power_given(unsigned n, double p0, double q, double level)
{
    const unsigned low = tail_below(n, p0, level / 2);      /* x1 < low is called different */
    const unsigned high = tail_below(n, 1 - p0, level / 2); /* and n - x1 < high */
    double seen = low > 0 ? gsl_cdf_binomial_P(low - 1, q, n) : 0;
    if (high > 0)
        seen += gsl_cdf_binomial_P(high - 1, 1 - q, n);
    return seen;
}

double stat_power_at(const struct stat_power_ask *ask, double mean)
{
    /* x1: after, as in stat_two_rates(). */
    const double after = mean * ask->ratio * ask->t2 / ask->t1, total = mean + after;
    const double q = after / total, no_change = ask->ratio < 1 ? 1 / ask->spread : ask->spread;
    const double p0 = no_change * ask->t2 / (ask->t1 + no_change * ask->t2);
    const double spread = 6 * sqrt(total) + 6;
    const unsigned from = (unsigned)fmax(total - spread, 0), to = (unsigned)(total + spread);
    const unsigned step = (to - from) / TOTALS + 1; /* of very many totals, every so many-th */
    double power = 0, weights = 0;
    for (unsigned n = from; n <= to; n += step) {
        const double weight = gsl_ran_poisson_pdf(n, total);
        weights += weight;
        if (weight > 1e-9)
            power += weight * power_given(n, p0, q, ask->level);
    }
    return weights > 0 ? power / weights : 0;
}

static bool may_be_asked(const struct stat_power_ask *a)
{
    return a->t1 > 0 && a->t2 > 0 && a->ratio > 0 && a->ratio != 1 && a->level > 0 &&
           a->level < 1 && a->power > 0 && a->power < 1 && a->spread >= 1 && a->dispersion >= 1;
}

double stat_power_count(const struct stat_power_ask *ask)
{
    if (!may_be_asked(ask))
        return NAN;
    double low = 0, high = 4;
    const double most = fmin(STAT_POWER_MOST, TOTAL_MOST / (1 + ask->ratio * ask->t2 / ask->t1));
    while (high > most || stat_power_at(ask, high) < ask->power) {
        low = high;
        high *= 2;
        if (high > most)
            return INFINITY;
    }
    while (high - low > 0.5) {
        const double middle = (low + high) / 2;
        *(stat_power_at(ask, middle) < ask->power ? &low : &high) = middle;
    }
    return high * ask->dispersion;
}
