#include "rank/stat_brackets.h"

#include <math.h>

#include <gsl/gsl_cdf.h>

/* Two-sided, x >= y. At 1/2 the distribution is symmetric, so twice the tail is exact. */
static double pair_p(unsigned x, unsigned y)
{
    if (x == y)
        return 1;
    return fmin(1, 2 * gsl_cdf_binomial_Q(x - 1, 0.5, x + y));
}

/* For each item the first one below it that stands apart at this cut (n: none does).
 * Returns the number of ordered pairs. p falls as the lower item sinks or the upper one rises, so
 * the answers never go back up the list. */
static double find_apart(const unsigned *counts, size_t n, double cut, size_t *apart)
{
    double pairs = 0;
    size_t j = 0;
    for (size_t i = 0; i < n; i++) {
        if (i > 0 && counts[i] == counts[i - 1]) {
            apart[i] = apart[i - 1];
        } else {
            j = j > i ? j : i + 1;
            while (j < n && pair_p(counts[i], counts[j]) > cut)
                j++;
            apart[i] = j;
        }
        pairs += (double)(n - apart[i]);
    }
    return pairs;
}

/* Benjamini & Hochberg's cut; apart[] is left as found at that cut. */
static double find_cut(const unsigned *counts, size_t n, double level, size_t *apart)
{
    const double all = (double)n * (double)(n - 1) / 2;
    double cut = level, before = all;
    for (;;) {
        const double ordered = find_apart(counts, n, cut, apart);
        if (ordered >= before || ordered <= 0)
            return ordered > 0 ? cut : 0;
        before = ordered;
        cut = level * ordered / all;
    }
}

static void draw(const size_t *apart, size_t n, struct arena *a, struct stat_brackets *out)
{
    out->list = arena_alloc(a, n * sizeof *out->list);
    size_t covered = 0; /* items before this one are inside a bracket that reaches no further */
    for (size_t i = 0; i < n; i++) {
        if (apart[i] <= covered || apart[i] - i < 2)
            continue;
        covered = apart[i];
        out->list[out->n++] = (struct stat_bracket){i, apart[i] - 1};
    }
}

bool stat_brackets(struct stat_ranked in, struct arena *a, struct stat_brackets *out, struct err *e)
{
    const unsigned *counts = in.counts;
    const size_t n = in.n;
    const double level = in.level;
    *out = (struct stat_brackets){0};
    if (!(level > 0 && level < 1))
        return err_set(e, ERR_INPUT, "level %g: brackets need a level between 0 and 1", level);
    for (size_t i = 1; i < n; i++)
        if (counts[i] > counts[i - 1])
            return err_set(e, ERR_FAILED,
                           "item %zu has more marks (%u) than the one above it (%u); brackets need "
                           "a list ordered by marks",
                           i + 1, counts[i], counts[i - 1]);
    if (n < 2)
        return true;
    size_t *apart = arena_alloc(a, n * sizeof *apart);
    out->cut = find_cut(counts, n, level, apart);
    draw(apart, n, a, out);
    return true;
}
