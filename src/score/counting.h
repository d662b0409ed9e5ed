/* The counts of a score, from its measures: a place in quarters <-> counts that have passed. Inner to
 * the room. */
#ifndef SCORE_COUNTING_H
#define SCORE_COUNTING_H

#include "score/sets.h"

struct counting {
    const struct score *score;
    double *before; /* counts before each measure; one more than there are measures */
    double *beat;   /* of each, in quarters */
    double pickup;  /* counts that are left out at the beginning, less than one */
    double n;       /* altogether behind the pickup */
};

void counting_of(struct arena *a, const struct score *score, enum count_beat beat,
                 struct counting *out);
/* Counts behind the pickup: below 0 within it. */
double counting_at(const struct counting *c, double at);
/* When the counts from, from + 1 ... to begin: to - from + 1 times in s. */
void counting_times(const struct counting *c, size_t from, size_t to, double *s);
/* Position of the measure in which a count (from 0) begins. */
size_t counting_measure(const struct counting *c, double count);

#endif
