/* What a rep mends, from the show's own history.
 *
 * The model is the plan's (plan/plan.h): a rep mends a share p of what was said before it. Of n items
 * worked on at once each is said in a part s = min(1, say / n) of the reps, so that R reps leave
 * f(p) = (1 - p s)^R of a fault's rate.
 *
 * A line (a fault of a section) was seen y_b times in e_b watched minutes before R reps of it and
 * y_a times in e_a minutes after them. Counts are taken for Poisson: given n = y_b + y_a, y_a is
 * binomial with
 *     theta(p) = e_a f / (e_b + e_a f)
 * whatever the line's own rate (Przyborowski & Wilenski 1940, with the ratio f where stat.h has 1).
 * p is the most likely one for all observations together; its interval holds every p whose deviance
 *     D(p) = 2 (l(p-hat) - l(p)),  l(p) = sum of y_a log theta + y_b log(1 - theta)
 * is at most a limit: for 95 % 3.84, the chi-square quantile of one degree of freedom (Wilks 1938).
 *
 * Marks come in clusters, and not every line mends alike, so lines scatter more than the model's
 * counts. With Pearson's X2 = sum over lines of (sum(y_a - n theta))^2 / sum(n theta (1 - theta)) and
 * df = lines - 1 from 2 on, the deviance is divided by max(1, X2 / df), and the limit is the square of
 * Student's t quantile of df degrees of freedom, since the scatter is itself an estimate
 * (quasi-likelihood: McCullagh & Nelder, Generalized Linear Models, 1989; the formulas from memory).
 * Observations of one line are added up before they are squared: a cluster, or a date that is the
 * end of one observation and the beginning of the next, is in all of them.
 *
 * In simulated histories the interval holds the truth in 94 of 100 and more, marks coming singly, in
 * bunches or by evenings; of those that are `enough`, in 98 of 100 when they come singly and in 9 of 10 else,
 * since a narrow interval is in part a lucky one (tests/rank/test_learn_chance.c).
 *
 * By hand: two lines, 20 minutes before and 10 after, one rep, s = 1. Seen 8 and 2 times, and 12 and 3
 * times: l is largest where 5 of 25 is theta = f / (2 + f), so f = 1/2 and p = 0.5.
 *
 * What this cannot tell apart
 *   - What is rehearsed was chosen because it was bad. Part of that was chance, which is not there the
 *     next time (regression to the mean): p comes out too high. Where nothing is mended at all, and
 *     the 5 worst of 20 equal lines of 8 marks each are rehearsed once, p comes out near 0.3
 *     (tests/rank/test_learn_chance.c).
 *   - Bands get better without a rep of the line, by running the show, and a fault may come from the
 *     weather of one evening; both are counted as mended or not mended by the rep.
 *   - A reviewer who looks harder, or for just this fault, after it was rehearsed lowers p; one who
 *     stops calling what was said already raises it.
 * So it is a figure to plan with, not one to judge a rehearsal by, and learn_sentence() says so. */
#ifndef RANK_LEARN_H
#define RANK_LEARN_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"

/* A line before and after reps of it, in the sets that were rehearsed. */
struct learn_seen {
    int line;                     /* number of the line; observations of one stand together */
    int before, after;            /* how often it was seen, >= 0 */
    double before_min, after_min; /* watched minutes; 0: none on that side */
    double reps;                  /* made between the two, > 0 */
    double share;                 /* of the reps before which it was said, 0 < s <= 1 */
};

struct learn_history {
    const struct learn_seen *at;
    size_t n;
};

/* From when on it is told. Half of what p can be: a narrower interval cannot hold both 'a quarter or
 * less' and 'three quarters or more', between which a plan looks quite different. Three lines, since
 * the scatter needs two degrees of freedom. Ten times: with fewer, the deviance is far from its
 * chi-square (common practice, no source). */
#define LEARN_WIDTH_MOST 0.5
enum { LEARN_LINES_LEAST = 3, LEARN_SEEN_LEAST = 10 };
#define LEARN_LEVEL 0.95
/* p is looked for from 0 to here. */
#define LEARN_MOST 0.99

struct learned {
    int lines;           /* that came in */
    int used;            /* of them, those that tell something */
    int unwatched;       /* left out: no watched minutes on one side */
    int unmarked;        /* left out: watched on both, seen on neither */
    int before, after;   /* how often those that are used were seen */
    double p, low, high; /* 0 to LEARN_MOST, low <= p <= high; NaN when no line is used */
    double dispersion;   /* by which the deviance was divided, >= 1 */
    /* At least LEARN_LINES_LEAST lines, LEARN_SEEN_LEAST times before, and an interval narrower than
     * LEARN_WIDTH_MOST. p may be 0 all the same: a plan in which reps mend nothing is none. */
    bool enough;
};

/* An observation without minutes on a side, without reps or share, or never seen is left out; a line
 * when all of its are. */
struct learned learn_share(struct learn_history seen);

/* One paragraph for the bottom of a plan, with a full stop and without a line's end: the share with
 * its interval and what it cannot tell apart, or what is missing. apart: of reps in sectionals. */
void learn_sentence(const struct learned *l, bool apart, struct buf *out);

#endif
