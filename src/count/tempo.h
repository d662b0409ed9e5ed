/* Written tempo: how long the counts of a set take.
 *
 * 'Set 14' is the move of its counts: count 1 is its first step. Counts run 1 <= c < counts + 1;
 * c - 1 is how many counts have passed, so 5.5 is half a count after count 5 began. The tempo goes
 * from bpm0 to bpm1 in equal parts per count: b(c) = bpm0 + slope (c - 1), slope = (bpm1 - bpm0) /
 * counts. A count lasts 60 / b, so x counts take
 *     60 x / bpm0                              when the tempo is steady,
 *     60 / slope * ln(1 + slope x / bpm0)      when it is not
 * (the integral of 60 / b). A hold follows the last count; no counts pass in it. */
#ifndef COUNT_TEMPO_H
#define COUNT_TEMPO_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

/* One set of the show, as far as time is concerned. */
struct move {
    const char *label;
    int counts;        /* >= 0; 0: only its hold, or nothing at all */
    double bpm0, bpm1; /* 10 .. 400; bpm0 0: the tempo is not known; bpm1 0: as bpm0 */
    double hold_s;     /* 0 .. 600 */
};

/* The sets of a show, in its order. */
struct moves {
    const struct move *at;
    size_t n;
};

/* A place in the drill. In a hold, count is counts + 1 and hold_s says how far into it. */
struct place {
    int set; /* index into the sets */
    double count;
    double hold_s;
};

/* The drill from a place on. */
struct passage {
    struct moves sets;
    struct place first;
};

/* Are counts, tempo and hold of every set within the ranges above? */
bool moves_check(struct moves sets, struct err *e);
/* Index of the set with this label (exactly, else without regard to case), or -1 with e set and a
 * near label offered. */
int move_find(struct moves sets, const char *label, struct err *e);

/* Is its length in seconds known? A set without counts needs no tempo. */
bool tempo_known(const struct move *m);
double tempo_slope(const struct move *m); /* bpm per count */
/* Written tempo at a count, 1 .. counts + 1; 0 when it is not known. */
double tempo_bpm(const struct move *m, double count);
/* Seconds from the set's beginning to a count (1 .. counts + 1), and back; exact inverses (to
 * 1e-9). NAN when the tempo is not known. */
double tempo_seconds(const struct move *m, double count);
double tempo_count(const struct move *m, double seconds);
/* Seconds of all counts and the hold. */
double tempo_length(const struct move *m);

/* The place `counts` (>= 0) counts into a passage; holds take none. Where a set ends and the next
 * begins it is the next. False when the drill ends before it. */
bool place_after(const struct passage *p, double counts, struct place *out);
/* Seconds from where a passage begins (not in a hold) to each count after it: w[0] = 0, w[1] one
 * count later and so on, holds included, until the drill ends or a set has no tempo. Stores at most
 * max, returns how many. */
size_t written_counts(const struct passage *p, double *w, size_t max);

/* The same law without a set: x counts from a tempo of bpm on, slope bpm per count. */
double ramp_seconds(double bpm, double slope, double counts);
double ramp_counts(double bpm, double slope, double seconds);

#endif
