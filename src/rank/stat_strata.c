#include "rank/stat_strata.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/arena.h"

enum { EXACT_MOST = 4000, FREEDOM_LEAST = 20 };
static const double dispersion_most = 4;

/* What a stratum's counts are split by when the first rate is so many times the second. */
static double share(const struct stat_stratum *s, double ratio)
{
    return ratio * s->t1 / (ratio * s->t1 + s->t2);
}

struct sums {
    double x1, n, expected; /* expected: of x1 at ratio 1 */
};

static struct sums sums_of(struct stat_strata s, double ratio)
{
    struct sums sum = {0};
    for (size_t i = 0; i < s.n; i++) {
        const double n = s.at[i].x1 + s.at[i].x2;
        sum.x1 += s.at[i].x1;
        sum.n += n;
        sum.expected += n * share(&s.at[i], ratio);
    }
    return sum;
}

static double mantel_haenszel(struct stat_strata s)
{
    double up = 0, down = 0;
    for (size_t i = 0; i < s.n; i++) {
        const double all = s.at[i].t1 + s.at[i].t2;
        up += s.at[i].x1 * s.at[i].t2 / all;
        down += s.at[i].x2 * s.at[i].t1 / all;
    }
    return down > 0 ? up / down : up > 0 ? INFINITY : NAN;
}

/* Every counted thing goes to the first side with the share of its stratum: the distribution of
 * their sum, one by one. out has room for n + 1. */
static void sum_of_binomials(struct stat_strata s, double ratio, double *out)
{
    size_t n = 0;
    out[0] = 1;
    for (size_t i = 0; i < s.n; i++) {
        const double p = share(&s.at[i], ratio);
        for (long k = lround(s.at[i].x1 + s.at[i].x2); k > 0; k--) {
            out[++n] = 0;
            for (size_t x = n; x > 0; x--)
                out[x] = out[x] * (1 - p) + out[x - 1] * p;
            out[0] *= 1 - p;
        }
    }
}

/* The sum of all outcomes no likelier than the seen one. */
static double minlike(const double *chance, size_t n, size_t seen)
{
    const double likely = chance[seen] * (1 + 1e-7);
    double p = 0;
    for (size_t x = 0; x <= n; x++)
        p += chance[x] <= likely ? chance[x] : 0;
    return fmin(p, 1);
}

static bool one_share(struct stat_strata s, double ratio)
{
    for (size_t i = 1; i < s.n; i++)
        if (fabs(share(&s.at[i], ratio) - share(&s.at[0], ratio)) > 1e-12)
            return false;
    return true;
}

/* Strata that split alike are one binomial; so are very many counts, with the mean share: it scatters
 * more than the sum does, so the test is a little too careful. */
static double exact_p(struct stat_strata s, double ratio)
{
    const struct sums sum = sums_of(s, ratio);
    const size_t n = (size_t)lround(sum.n), x = (size_t)lround(sum.x1);
    if (n == 0)
        return 1;
    if (n > EXACT_MOST || one_share(s, ratio))
        return stat_binomial_p((unsigned)x, (unsigned)n,
                               one_share(s, ratio) ? share(&s.at[0], ratio) : sum.expected / sum.n);
    double *chance = xcalloc(n + 1, sizeof *chance);
    sum_of_binomials(s, ratio, chance);
    const double p = minlike(chance, n, x);
    free(chance);
    return p;
}

struct stat_two_rates stat_strata_rates(struct stat_strata s, double level)
{
    if (s.n == 0)
        return (struct stat_two_rates){NAN, NAN, NAN, NAN};
    const struct sums sum = sums_of(s, 1);
    const double mean = sum.n > 0 ? sum.expected / sum.n : share(&s.at[0], 1);
    const struct stat_interval of_n =
        stat_clopper_pearson((unsigned)lround(sum.x1), (unsigned)lround(sum.n), level);
    const double per = (1 - mean) / mean;
    return (struct stat_two_rates){
        .ratio = mantel_haenszel(s),
        .low = of_n.low / (1 - of_n.low) * per,
        .high = of_n.high < 1 ? of_n.high / (1 - of_n.high) * per : INFINITY,
        .p = exact_p(s, 1),
    };
}

static double dispersed_p(struct stat_strata s, double ratio, double dispersion)
{
    const struct sums sum = sums_of(s, ratio);
    const double n = floor(sum.n / dispersion + 0.5);
    if (n < 1)
        return 1;
    const double mean = sum.expected / sum.n, due = n * mean;
    const double x = sum.x1 * n / sum.n, towards = x < due ? ceil(x - 1e-9) : floor(x + 1e-9);
    const double seen = x < due ? fmin(towards, due) : fmax(towards, due);
    return stat_binomial_p((unsigned)lround(seen), (unsigned)n, mean);
}

double stat_strata_p(struct stat_strata s, struct stat_allowance allow)
{
    const double seen = mantel_haenszel(s);
    if (isnan(seen) || (seen <= allow.spread && seen >= 1 / allow.spread && allow.spread > 1))
        return 1;
    const double ratio = seen > 1 ? allow.spread : 1 / allow.spread;
    return allow.dispersion > 1 ? dispersed_p(s, ratio, allow.dispersion) : exact_p(s, ratio);
}

void stat_dispersion_add(struct stat_dispersion *d, struct stat_strata s)
{
    const double ratio = mantel_haenszel(s);
    if (!(ratio > 0) || isinf(ratio))
        return;
    for (size_t i = 0; i < s.n; i++) {
        const double n = s.at[i].x1 + s.at[i].x2, p = share(&s.at[i], ratio);
        const double off = s.at[i].x1 - n * p;
        d->scatter += off * off;
        d->expected += n * p * (1 - p);
        d->strata += n > 0;
    }
    d->lines++;
}

double stat_dispersion(const struct stat_dispersion *d)
{
    const double freedom = d->strata - d->lines;
    if (freedom < FREEDOM_LEAST || !(d->expected > 0))
        return 1;
    return fmin(fmax(d->scatter / d->expected * d->strata / freedom, 1), dispersion_most);
}
