#include "rank/stat_power.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdbool.h>

/* Given a total n, how likely the test calls x1 of n different from the share p0 when it is q. Both
 * tails of at most half the level each: at most a little less than the minlike test sees. */
static double power_given(unsigned n, double p0, double q, double level)
{
    unsigned low = 0, high = n + 1; /* x1 < low or x1 >= high is called different */
    double tail = 0, seen = 0;
    for (unsigned k = 0; k <= n; k++) {
        tail += gsl_ran_binomial_pdf(k, p0, n);
        if (tail > level / 2)
            break;
        low = k + 1;
    }
    tail = 0;
    for (unsigned k = n + 1; k-- > low;) {
        tail += gsl_ran_binomial_pdf(k, p0, n);
        if (tail > level / 2)
            break;
        high = k;
    }
    if (low > 0)
        seen += gsl_cdf_binomial_P(low - 1, q, n);
    if (high <= n)
        seen += gsl_cdf_binomial_Q(high - 1, q, n);
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
    double power = 0;
    for (unsigned n = from; n <= to; n++) {
        const double weight = gsl_ran_poisson_pdf(n, total);
        if (weight > 1e-9)
            power += weight * power_given(n, p0, q, ask->level);
    }
    return power;
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
    while (stat_power_at(ask, high) < ask->power) {
        low = high;
        high *= 2;
        if (high > STAT_POWER_MOST)
            return INFINITY;
    }
    while (high - low > 0.5) {
        const double middle = (low + high) / 2;
        *(stat_power_at(ask, middle) < ask->power ? &low : &high) = middle;
    }
    return high * ask->dispersion;
}
