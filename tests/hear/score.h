/* How well found beats meet the true ones. Pure; all times are seconds, rising.
 *
 * Continuity is that of M. E. P. Davies, N. Degara, M. D. Plumbley, 'Evaluation Methods for Musical
 * Audio Beat Tracking Algorithms' (Queen Mary University of London, C4DM-TR-09-06, 2009), with two
 * differences: the first five seconds count as well, and a stop is no beat interval: where the time
 * before a true beat is more than half as long again as the time after it, a new passage begins. */
#ifndef TESTS_HEAR_SCORE_H
#define TESTS_HEAR_SCORE_H

#include <stddef.h>

struct times {
    const double *at;
    size_t n;
};

/* 2 hits / (true + found) where each true beat takes at most one found beat within tolerance_s and
 * none is taken twice; 1 when there are neither, 0 when there are only one sort. */
double score_f(struct times truth, struct times found, double tolerance_s);

/* Median of found minus true over those pairs, in ms; NAN without any. */
double score_bias_ms(struct times truth, struct times found, double tolerance_s);

/* What a finder may have taken for the beat. */
enum level {
    LEVEL_SAME,
    LEVEL_DOUBLE,
    LEVEL_HALF,     /* from the first beat of a passage, or from the second */
    LEVEL_OFF_BEAT, /* halfway between */
    LEVEL_NONE,
    LEVELS
};

/* The part of the beats, 0 .. 1, that are right in phase and period (each within 17.5 % of the beat
 * interval), as if the truth were at this level; of all true beats or all found ones, whichever
 * are more. Each true beat is met once. */
double score_continuity(struct times truth, struct times found, enum level level);

struct beat_score {
    double f;            /* within 70 ms */
    double cml_t, aml_t; /* continuity at the same level, and at the best one */
    double bias_ms;
    enum level level; /* the best one; LEVEL_NONE when less than half is right at any */
};
struct beat_score score_beats(struct times truth, struct times found);

#endif
