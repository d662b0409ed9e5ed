#include "rank/stat.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "base/arena.h"

static const struct stat_interval UNKNOWN = {NAN, NAN};

static bool level_ok(double level)
{
    return level > 0 && level < 1;
}

/* A distribution function of x with two parameters, rising or falling. */
typedef double (*tail_fn)(double x, double a, double b);

static double chisq_upper(double x, double nu, double unused)
{
    (void)unused;
    return gsl_cdf_chisq_Q(x, nu);
}

static double chisq_lower(double x, double nu, double unused)
{
    (void)unused;
    return gsl_cdf_chisq_P(x, nu);
}

/* The x between one and other where fn(x) = target; NAN unless fn - target has different signs
 * there. GSL's own inverses (gsl_cdf_chisq_Pinv, gsl_cdf_beta_Pinv) give up for counts above a few
 * hundred, some by calling abort(), some in silence with a wrong value (2.7.1), so the root is
 * bracketed here (regula falsi, Illinois variant: Dowell & Jarratt 1971). */
static double invert(tail_fn fn, double a, double b, double target, double one, double other)
{
    double f_one = fn(one, a, b) - target, f_other = fn(other, a, b) - target;
    double x = one;
    for (int i = 0; i < 200 && fabs(other - one) > 4e-15 * fabs(x); i++) {
        x = (one * f_other - other * f_one) / (f_other - f_one);
        if (!(x > fmin(one, other) && x < fmax(one, other)))
            x = (one + other) / 2;
        const double f = fn(x, a, b) - target;
        if (fabs(f) <= 1e-15 * target)
            return x;
        if ((f > 0) != (f_other > 0)) {
            one = other;
            f_one = f_other;
        } else {
            f_one /= 2;
        }
        other = x;
        f_other = f;
    }
    return x;
}

/* A chi-square quantile, z the normal one, by Halley's steps from where Wilson & Hilferty (1931)
 * put it; NAN when that is too far off, as for a few degrees of freedom. */
static double chisq_near(tail_fn fn, double nu, double z, double target)
{
    const double v = 2 / (9 * nu), root = 1 - v + z * sqrt(v);
    double x = nu * root * root * root;
    for (int i = 0; i < 4 && x > 0; i++) {
        const double off = fn(x, nu, 0) - target, bend = (nu / 2 - 1) / x - 0.5;
        const double newton = (z > 0 ? -off : off) / gsl_ran_chisq_pdf(x, nu);
        const double step = newton / (1 - newton * bend / 2);
        x -= step;
        if (fabs(step) < 1e-7 * x) /* the next one would be its cube */
            return x;
    }
    return NAN;
}

static double chisq_quantile(tail_fn fn, double nu, double z, double target, double one,
                             double other)
{
    const double x = chisq_near(fn, nu, z, target);
    return isnan(x) ? invert(fn, nu, 0, target, one, other) : x;
}

struct stat_interval stat_poisson(unsigned count, double level)
{
    if (!level_ok(level))
        return UNKNOWN;
    const double tail = (1 - level) / 2, k = count, z = gsl_cdf_ugaussian_Qinv(tail);
    double most = 2 * k + 2;
    while (chisq_upper(most, 2 * k + 2, 0) > tail)
        most *= 2;
    return (struct stat_interval){
        .low = count ? chisq_quantile(chisq_lower, 2 * k, -z, tail, 0, 2 * k) / 2 : 0,
        .high = chisq_quantile(chisq_upper, 2 * k + 2, z, tail, 2 * k, most) / 2,
    };
}

struct stat_rate stat_rate(unsigned count, double exposure, double level)
{
    if (!(exposure > 0) || !isfinite(exposure))
        return (struct stat_rate){.rate = NAN, .low = 0, .high = INFINITY};
    const struct stat_interval mean = stat_poisson(count, level);
    return (struct stat_rate){
        .rate = count / exposure, .low = mean.low / exposure, .high = mean.high / exposure};
}

struct stat_interval stat_clopper_pearson(unsigned k, unsigned n, double level)
{
    if (k > n || !level_ok(level))
        return UNKNOWN;
    const double tail = (1 - level) / 2, hit = k, miss = (double)n - k;
    return (struct stat_interval){
        .low = k ? invert(gsl_cdf_beta_P, hit, miss + 1, tail, 0, 1) : 0,
        .high = k < n ? invert(gsl_cdf_beta_Q, hit + 1, miss, tail, 0, 1) : 1,
    };
}

struct stat_interval stat_wilson(unsigned k, unsigned n, double level)
{
    if (k > n || !level_ok(level))
        return UNKNOWN;
    if (n == 0)
        return (struct stat_interval){0, 1};
    const double z = gsl_cdf_ugaussian_Qinv((1 - level) / 2), z2 = z * z, m = n, share = k / m;
    const double middle = (share + z2 / (2 * m)) / (1 + z2 / m);
    const double half = z / (1 + z2 / m) * sqrt(share * (1 - share) / m + z2 / (4 * m * m));
    return (struct stat_interval){
        .low = k ? middle - half : 0,
        .high = k < n ? middle + half : 1,
    };
}

static double chance(unsigned k, unsigned n, double p0)
{
    return gsl_ran_binomial_pdf(k, p0, n);
}

/* How many of 0..last have a chance of at most `most`? Chances rise up to last. */
static unsigned count_low(unsigned last, unsigned n, double p0, double most)
{
    unsigned from = 0, to = last + 1;
    while (from < to) {
        const unsigned k = from + (to - from) / 2;
        if (chance(k, n, p0) <= most)
            from = k + 1;
        else
            to = k;
    }
    return from;
}

/* Below the mean; the other side is the same question asked of the failures. */
static double two_sided_below(unsigned k, unsigned n, double p0)
{
    const double likely = chance(k, n, p0) * (1 + 1e-7);
    const unsigned first = (unsigned)ceil(n * p0);
    const unsigned beyond = first > n ? 0 : count_low(n - first, n, 1 - p0, likely);
    double p = gsl_cdf_binomial_P(k, p0, n);
    if (beyond)
        p += gsl_cdf_binomial_P(beyond - 1, 1 - p0, n);
    return fmin(p, 1);
}

double stat_binomial_p(unsigned k, unsigned n, double p0)
{
    if (k > n || !(p0 >= 0 && p0 <= 1))
        return NAN;
    if (p0 == 0 || p0 == 1)
        return k == (p0 == 0 ? 0 : n);
    if (k == n * p0)
        return 1;
    return k < n * p0 ? two_sided_below(k, n, p0) : two_sided_below(n - k, n, 1 - p0);
}

struct stat_two_rates stat_two_rates(unsigned x1, double t1, unsigned x2, double t2, double level)
{
    if (!(t1 > 0 && t2 > 0) || !isfinite(t1) || !isfinite(t2))
        return (struct stat_two_rates){NAN, NAN, NAN, NAN};
    const unsigned n = x1 + x2;
    const struct stat_interval share = stat_clopper_pearson(x1, n, level);
    return (struct stat_two_rates){
        .ratio = x2 ? (x1 / t1) / (x2 / t2) : (x1 ? INFINITY : NAN),
        .low = share.low / (1 - share.low) * t2 / t1,
        .high = share.high < 1 ? share.high / (1 - share.high) * t2 / t1 : INFINITY,
        .p = stat_binomial_p(x1, n, t1 / (t1 + t2)),
    };
}

struct place {
    double p;
    size_t at;
};

static int by_p(const void *a, const void *b)
{
    const struct place *x = a, *y = b;
    if (x->p != y->p)
        return x->p < y->p ? -1 : 1;
    return x->at < y->at ? -1 : 1;
}

void stat_bh_adjust(const double *p, size_t n, double *out)
{
    struct place *order = xcalloc(n, sizeof *order);
    for (size_t i = 0; i < n; i++)
        order[i] = (struct place){p[i], i};
    qsort(order, n, sizeof *order, by_p);
    double least = 1;
    for (size_t i = n; i-- > 0;) {
        least = fmin(least, order[i].p * (double)n / (double)(i + 1));
        out[order[i].at] = least;
    }
    free(order);
}

size_t stat_share_items(const unsigned *counts, size_t n, double share)
{
    double total = 0, seen = 0;
    for (size_t i = 0; i < n; i++)
        total += counts[i];
    if (total <= 0)
        return 0;
    size_t i = 0;
    while (i < n && seen < share * total * (1 - 1e-12))
        seen += counts[i++];
    return i;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

struct stat_median stat_median(double *values, size_t n, double level)
{
    if (n == 0)
        return (struct stat_median){NAN, NAN, NAN, NAN};
    qsort(values, n, sizeof *values, by_size);
    size_t r = 1;
    while (2 * (r + 1) <= n && 1 - 2 * gsl_cdf_binomial_P((unsigned)r, 0.5, (unsigned)n) >= level)
        r++;
    return (struct stat_median){
        .value = (values[(n - 1) / 2] + values[n / 2]) / 2,
        .low = values[r - 1],
        .high = values[n - r],
        .level = 1 - 2 * gsl_cdf_binomial_P((unsigned)r - 1, 0.5, (unsigned)n),
    };
}
