/* How much must be counted before a difference of two rates can be seen. */
#ifndef RANK_STAT_POWER_H
#define RANK_STAT_POWER_H

struct stat_power_ask {
    double t1, t2;     /* exposures before and after, > 0 */
    double ratio;      /* the rate after to that before that is to be seen, > 0 and not 1 */
    double level;      /* p at or below which it is called different, 0 < level < 1 */
    double spread;     /* >= 1: ratios from 1/spread to spread are no difference */
    double dispersion; /* >= 1: counts vary so many times as much as Poisson's */
    double power;      /* in what share of cases it is to be seen, 0 < power < 1 */
};

/* The smallest mean count before at which the exact conditional test of two Poisson rates
 * (Przyborowski & Wilenski 1940, two-sided as stat_two_rates()) says so with that power: the power
 * is that of the binomial test given the total (half of the level in each tail), averaged over the
 * totals: the definition of it. Counts that vary more are divided by their dispersion, so so many
 * times as many are needed.
 * INFINITY beyond STAT_POWER_MOST, NaN for what cannot be asked. */
#define STAT_POWER_MOST 5000.0
double stat_power_count(const struct stat_power_ask *ask);
/* The power at a mean count before (with dispersion 1). */
double stat_power_at(const struct stat_power_ask *ask, double mean);

#endif
