/* How much a count of marks can be believed: exact intervals and exact tests.
 *
 * Levels are coverages, 0 < level < 1 (0.95 = 95 %). A value that does not exist comes back as
 * NaN, an open end as 0 or INFINITY; nothing here fails or aborts. Counts up to 10^6. */
#ifndef RANK_STAT_H
#define RANK_STAT_H

#include <stddef.h>

struct stat_interval {
    double low, high;
};

/* Exact interval for the mean of a Poisson count (Garwood 1936):
 *     low = chi2(a/2; 2k)/2,  high = chi2(1-a/2; 2k+2)/2,  a = 1 - level; low is 0 at k = 0.
 * NaN ends for a level outside 0..1. */
struct stat_interval stat_poisson(unsigned count, double level);

/* A count over an exposure (watched minutes, runs ...) as a rate with Garwood's interval. */
struct stat_rate {
    double rate, low, high; /* per unit of exposure; NaN, 0, INFINITY without exposure */
};
struct stat_rate stat_rate(unsigned count, double exposure, double level);

/* Are two rates different? Conditional test of Przyborowski & Wilenski (1940): given n = x1 + x2,
 * x1 is binomial(n, t1/(t1+t2)) when the rates are equal. */
struct stat_two_rates {
    double ratio;     /* (x1/t1)/(x2/t2); INFINITY when only x2 is 0, NaN when both are */
    double low, high; /* Clopper-Pearson for x1 of n, turned into a ratio */
    double p;         /* two-sided, 'minlike': the sum of all outcomes no likelier than the seen one
                         (as R's poisson.test; it is not twice the smaller tail) */
};
/* Exposures must be > 0, otherwise every field is NaN. Two zero counts: NaN, 0, INFINITY, p = 1.
 * p and interval use different orderings, so at the edge one may say 'different' and the other not:
 * the p-value decides, the interval shows how much. */
struct stat_two_rates stat_two_rates(unsigned x1, double t1, unsigned x2, double t2, double level);

/* Two-sided exact binomial test of k successes in n against chance p0, minlike (R's binom.test,
 * with its tolerance of 1e-7 for equal likelihoods). n = 0 gives 1; k > n or p0 outside 0..1, NaN.
 */
double stat_binomial_p(unsigned k, unsigned n, double p0);

/* Interval for a share k/n. Clopper-Pearson (1934) is exact and wide; Wilson's score interval
 * (1927, no continuity correction) is near its level on average. n = 0 gives 0..1; k > n gives NaN.
 */
struct stat_interval stat_clopper_pearson(unsigned k, unsigned n, double level);
struct stat_interval stat_wilson(unsigned k, unsigned n, double level);

/* Benjamini & Hochberg (1995): p-values adjusted for testing n of them at once, in their own order
 * (out may be p). An item is called different at rate q when its adjusted value is <= q. */
void stat_bh_adjust(const double *p, size_t n, double *out);

/* The middle of n values and an interval for the median of what they are drawn from, whatever its
 * shape: between the r-th smallest and the r-th largest it lies with a chance of
 * 1 - 2 P(B < r), B binomial(n, 1/2) (Thompson 1936; tables: Nair 1940). r is the largest that
 * reaches the level, or 1 where none does; `level` is what the interval has. Of 9 values: 2nd to
 * 8th, 96.1 %. The values are sorted in place; none at all give NaN. */
struct stat_median {
    double value, low, high, level;
};
struct stat_median stat_median(double *values, size_t n, double level);

/* How many of the first items of a list make up at least `share` (0..1) of its total? 0 when the
 * total is 0. A rule of thumb to say where the work is, not a law. */
size_t stat_share_items(const unsigned *counts, size_t n, double share);

#endif
