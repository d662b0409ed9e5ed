/* Taps on the beat: a line through them, and what it says about tempo and moment.
 *
 * Tap i falls on beat k(i); its time is a + s W(k), where W is the written time of the k-th count
 * after the first tap's (steady: W = k, and s is the period). a and s come from ordinary least
 * squares (GSL). The +- are 95 % for a person whose taps scatter and also wander, as far as the taps
 * leave that open (count/taps_error.h). Beats without a tap, and two taps on one beat, do no harm; a
 * tap further from the line than 3.5 times the usual scatter (median absolute deviation, but at
 * least 45 ms, since of few taps a good one may lie far off) is set aside. From three taps nobody can
 * say how they scatter: 15 ms are assumed then (or what is seen, when that is more), 7.5 ms of
 * wandering a beat, and the normal distribution.
 */
#ifndef COUNT_TAPS_H
#define COUNT_TAPS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/err.h"
#include "count/map.h"
#include "count/taps_error.h"

/* Moments of the clip, or of another clock. */
struct tap_times {
    const int64_t *us;
    size_t n;
};

/* --- from the keyboard to the clip --------------------------------------------------------- */

/* How key presses on a clock become clip time, while the clip plays at an even speed. */
struct tap_clock {
    int64_t wall_us, clip_us; /* one instant, on both */
    double speed;             /* 0.25 .. 2 */
    double bias_us;           /* the person's, from taps_bias(): positive taps late */
};
void taps_to_clip(const struct tap_clock *c, const int64_t *wall_us, size_t n, int64_t *clip_us);

/* How late (+) or early (-) a person taps, from taps against known beats at normal speed. */
struct tap_bias {
    double us, error_us; /* mean and its 95 % */
    double spread_us;    /* standard deviation of one tap */
    int used, set_aside;
};
/* Both in time order. Needs eight taps that follow the beats. */
bool taps_bias(struct tap_times taps, struct tap_times beats, struct tap_bias *out, struct err *e);

/* --- the fit ------------------------------------------------------------------------------- */

enum { TAP_OUTLIER = -1, TAP_DOUBLE = -2 };

struct tap_fit {
    double bpm, bpm_error;               /* at the first tap's beat */
    double period_us, period_error_us;   /* of that beat: 60e6 / bpm */
    double at_us, at_error_us;           /* when the first tap's beat was */
    double ratio, ratio_error;           /* played / written tempo; 0 when none is written */
    double residual_us;                  /* standard deviation of the taps used */
    int used, outliers, doubles, missed; /* taps, taps, taps, beats without one */
    int *beat;      /* of every tap, in time order: 0 .., or TAP_OUTLIER, TAP_DOUBLE */
    double *off_us; /* of every tap used: how far from the line; else 0 */
    /* By what the tempo must be multiplied to be the written one: 1; 2 or 0.5 when every other beat
     * or twice a beat was tapped; 0 when none of these is within 20 %, or none is written. */
    double octave;
    /* Inside: the line and how sure it is, for taps_time(). */
    double slope;
    struct tap_cov cov;
    const double *written; /* W(k) in seconds; NULL when steady: W = k */
    size_t n_written;
};

/* Steady taps. written_bpm 0: not known. Taps need no order. False, with nothing made, when there
 * are fewer than three, all at once, or without a steady beat. */
bool taps_fit(struct arena *a, struct tap_times taps, double written_bpm, struct tap_fit *out,
              struct err *e);

/* Taps over a ritardando or a change of tempo: the shape is that of the passage at whose beginning
 * the first tap was made; only its moment and its speed as a whole are fitted. */
bool taps_fit_written(struct arena *a, struct tap_times taps, const struct passage *p,
                      struct tap_fit *out, struct err *e);

/* When beat k was, by the line, and how sure that is (95 %). k is 0 for the first tap's beat, and
 * for a written shape at most the beats of the sets. */
double taps_time(const struct tap_fit *f, int k, double *error_us);

/* The tie that the taps give, where they say most: at the beat nearest to their middle. The
 * passage begins at the first tap. False when the drill ends before that beat. */
bool taps_anchor(const struct tap_fit *f, const struct passage *p, struct map_anchor *out,
                 double *error_us, struct err *e);

#endif
