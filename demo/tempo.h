/* Clip time of sets and counts, from the written tempos.
 *
 * Tempo is linear in counts, b(c) = b0 + (b1 - b0) c/n, so a count lasts 60/b(c) and the time into
 * the set is its integral: 60 c/b0 when steady, else 60 n/(b1 - b0) ln(b(c)/b0). */
#ifndef DEMO_TEMPO_H
#define DEMO_TEMPO_H

#include "demo/drill.h"

struct place {
    int set;
    double c;     /* 0 .. counts; past them after the drill's end, at its last tempo */
    bool holding; /* after the last count, before the next set: c is counts */
    bool before;  /* the first set has not begun: c is 0 */
    bool after;   /* the last hold is over */
};

/* Seconds from the set's start to count c of it, 0 <= c <= counts. */
double set_seconds(const struct set *s, double c);
double set_tempo(const struct set *s, double c);

/* The drill on the clip's clock. */
struct tempo {
    const struct drill *drill;
    double *start_s; /* of each set, n_sets + 1 values: the last is the end of the last hold */
};

struct tempo tempo_make(struct arena *a, const struct drill *d, double lead_in_s);
/* Clip time of count c. A c before 0 or past the counts runs on into the neighboring sets (their
 * holds included); outside the drill at the outermost tempo. */
double tempo_at(const struct tempo *t, int set, double c);
struct place tempo_place(const struct tempo *t, double at_s);
/* Counts since the first set began, all sets added up; stands still in holds. */
double tempo_counts(const struct tempo *t, const struct place *p);

#endif
