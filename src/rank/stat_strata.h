/* Two rates that are compared stratum by stratum, so that what differs between strata (another set,
 * another pair of eyes) cannot pass for a difference of the rates.
 *
 * In a stratum with counts x1, x2 over exposures t1, t2, x1 given n = x1 + x2 is
 * binomial(n, r t1 / (r t1 + t2)) when the first rate is r times the second; the sum over strata of
 * independent binomials is compared with its exact distribution (the conditional test of Przyborowski
 * & Wilenski 1940, stratified; with one stratum it is that test). */
#ifndef RANK_STAT_STRATA_H
#define RANK_STAT_STRATA_H

#include "rank/stat.h"

struct stat_stratum {
    double x1, x2; /* counts */
    double t1, t2; /* exposures, > 0 */
};

struct stat_strata {
    const struct stat_stratum *at;
    size_t n;
};

/* ratio: Mantel & Haenszel's for person-time (Rothman & Greenland, Modern Epidemiology, 1998, ch.
 * 15): sum x1 t2/T over sum x2 t1/T, T = t1 + t2. Interval: Clopper-Pearson for the sum of x1, turned
 * into a ratio by the mean share (exact with one stratum). p: two-sided, minlike, as
 * stat_two_rates(). All NaN without strata. */
struct stat_two_rates stat_strata_rates(struct stat_strata s, double level);

/* p of the same test with two allowances. spread >= 1: ratios from 1/spread to spread are no
 * difference (p is that of the nearest one). dispersion >= 1: counts vary so many times as much as
 * Poisson's; they are divided by it and rounded towards no difference. */
struct stat_allowance {
    double spread, dispersion;
};
double stat_strata_p(struct stat_strata s, struct stat_allowance allow);

/* How much more the strata of many comparisons scatter about each one's own ratio than Poisson
 * counts would: add each, then ask. */
struct stat_dispersion {
    double scatter, expected; /* sums of (x1 - n share)^2 and of n share (1 - share) */
    double strata, lines;     /* that have counts on both sides' sum */
};
void stat_dispersion_add(struct stat_dispersion *d, struct stat_strata s);
/* 1 when it rests on less than 20 degrees of freedom; at most 4. */
double stat_dispersion(const struct stat_dispersion *d);

#endif
