/* Which neighbours in a ranked list cannot honestly be told apart?
 *
 * The counts belong to items seen over the same exposure, in rank order (never rising).
 * Which pairs: all n(n-1)/2 pairs of the list. Test of a pair: x of x + y marks against 1/2, exact
 * and two-sided (the conditional test of stat.h with equal exposures). Level: the false discovery
 * rate is held at `level` over all pairs together (Benjamini & Hochberg 1995); a pair with an
 * adjusted p <= level counts as ordered, every other pair is not told apart.
 * What a bracket is: a maximal run of two or more items in which no pair is ordered. The pair of a
 * run's ends is the one with the smallest p (fewer marks below, or more above, only make the
 * difference clearer), so the ends decide for the whole run. Brackets may overlap: with 20, 13, 7
 * the first two may be joined and the last two, and yet 20 stands apart from 7.
 *
 * The procedure is exact although it does not look at every pair: for a fixed cut the ordered pairs
 * form a staircase, and the cut of Benjamini & Hochberg is the largest fixed point of
 * cut -> level * (pairs with p <= cut) / pairs. Cost: about n * 20 binomial tails. */
#ifndef RANK_STAT_BRACKETS_H
#define RANK_STAT_BRACKETS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"

#define STAT_BRACKET_LEVEL 0.05

struct stat_bracket {
    size_t first, last; /* item numbers, both inside, first < last */
};

struct stat_brackets {
    struct stat_bracket *list; /* in the arena; by first item, and by last */
    size_t n;
    double cut; /* a pair is ordered when its unadjusted p <= cut; 0 when no pair is */
};

struct stat_ranked {
    const unsigned *counts; /* never rising */
    size_t n;
    double level; /* inside 0 .. 1 */
};

/* False with e set when the counts rise somewhere or the level is out of range. */
bool stat_brackets(struct stat_ranked in, struct arena *a, struct stat_brackets *out,
                   struct err *e);

#endif
