/* Sets counted off along the beats from a tie. */
#include <math.h>
#include <stdlib.h>

#include "count/beats.h"

void beats_put_back(struct beats *b, int64_t delay_us)
{
    for (size_t i = 0; i < b->n; i++)
        b->beat[i].at_us -= delay_us;
}

static size_t nearest_beat(const struct beats *b, int64_t us)
{
    size_t best = 0;
    for (size_t i = 1; i < b->n; i++)
        if (llabs(b->beat[i].at_us - us) < llabs(b->beat[best].at_us - us))
            best = i;
    return best;
}

static const struct beat_run *run_of(const struct beats *b, size_t beat)
{
    for (size_t i = 0; i < b->n_runs; i++)
        if (beat >= b->run[i].first && beat < b->run[i].first + b->run[i].n)
            return &b->run[i];
    return NULL;
}

/* The beats, counted from `from` (exclusive or not) to `to`, with the least confidence. */
static double least_confidence(const struct beats *b, size_t from, size_t to)
{
    double least = 1;
    for (size_t i = from < to ? from : to; i <= (from < to ? to : from); i++)
        least = fmin(least, b->beat[i].confidence);
    return least;
}

static void add_tie(struct beat_ties *ties, const struct beats *b, size_t at, size_t from, int set)
{
    ties->at[ties->n++] = (struct beat_tie){
        .tie = {.us = b->beat[at].at_us, .set = set, .count = 1},
        .confidence = least_confidence(b, from, at),
    };
}

/* The known count, as the beats have it. */
struct counted {
    const struct beat_run *run;
    size_t from; /* its beat */
    long passed; /* counts of its set before it */
    int set;
};

/* Sets that begin at or before the known count, as far as the run and no hold allow. */
static void ties_back(struct beat_ties *ties, const struct beats *b, const struct move *sets,
                      const struct counted *k)
{
    long at = (long)k->from - k->passed;
    for (int set = k->set; at >= (long)k->run->first && set >= 0; set--) {
        if (sets[set].counts > 0)
            add_tie(ties, b, (size_t)at, k->from, set);
        if (set == 0 || sets[set - 1].hold_s > 0)
            break;
        at -= sets[set - 1].counts;
    }
    for (size_t i = 0; i < ties->n / 2; i++) {
        const struct beat_tie swap = ties->at[i];
        ties->at[i] = ties->at[ties->n - 1 - i];
        ties->at[ties->n - 1 - i] = swap;
    }
}

/* Sets that begin after it. */
static void ties_on(struct beat_ties *ties, const struct beats *b, struct moves sets,
                    const struct counted *k)
{
    long at = (long)k->from - k->passed;
    for (int set = k->set; (size_t)set + 1 < sets.n && sets.at[set].hold_s == 0; set++) {
        at += sets.at[set].counts;
        if (at >= (long)(k->run->first + k->run->n))
            break;
        if (sets.at[set + 1].counts > 0 && at >= (long)k->run->first)
            add_tie(ties, b, (size_t)at, k->from, set + 1);
    }
}

const struct beat_ties *beats_ties(struct arena *a, const struct beats *b, struct moves sets,
                                   const struct map_anchor *known, struct err *e)
{
    struct counted k = {.passed = lround(known->count - 1), .set = known->set};
    if (fabs(known->count - 1 - (double)k.passed) > 1e-6) {
        err_set(e, ERR_INPUT,
                "counting beats off begins at a whole count, and this tie is at count %g",
                known->count);
        return NULL;
    }
    k.from = b->n ? nearest_beat(b, known->us) : 0;
    k.run = run_of(b, k.from);
    const double away = k.run ? fabs((double)(b->beat[k.from].at_us - known->us)) : 0;
    if (!k.run || away > 20e6 / b->beat[k.from].bpm) {
        err_set(e, ERR_INPUT,
                "no beat is heard where set %s is tied; tie a count that can be heard",
                sets.at[known->set].label);
        return NULL;
    }
    struct beat_ties *ties = arena_alloc(a, sizeof *ties);
    *ties = (struct beat_ties){.at = arena_alloc(a, sets.n * sizeof *ties->at)};
    ties_back(ties, b, sets.at, &k);
    ties_on(ties, b, sets, &k);
    return ties;
}
