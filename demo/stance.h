/* Where everybody is and what their bodies do at a moment of the clip: the written drill, plus the
 * injected faults, plus a little human scatter that hangs on --scatter alone.
 *
 * Position in a set: straight from the dots of the set before to the set's own, even in counts.
 * A body stands on dots that may be off (closed/open interval: EFFECT_SPREAD, bent line:
 * EFFECT_BOW, dress: EFFECT_DEPTH, cover and off the dot: EFFECT_ACROSS); they are kept while the
 * form stands and corrected by the next move. EFFECT_ARRIVE  arrives `amount` counts after the last
 * count (before it when negative); the rest of the way is made up during the next set's first
 * counts EFFECT_START   leaves `amount` counts after the set's start (before it when negative)
 * EFFECT_TURN    keeps the last set's direction for `amount` counts, then straight to the dot
 * EFFECT_LAG     falls `amount` steps behind an even move at two thirds of it, then lunges
 * EFFECT_BULGE   leaves the straight path sideways by `amount` steps and comes back
 * EFFECT_SHUFFLE a step of `amount` to the side and back
 * EFFECT_STEP    feet are `amount` counts behind (1 = the wrong foot)
 * EFFECT_FEET    heels `amount` steps apart while standing
 * EFFECT_CUE_LATE the next cue of the performer's section comes `amount` counts late
 * and angles in degrees: EFFECT_HORN_ANGLE, EFFECT_FLAG_ANGLE, EFFECT_LEAN. */
#ifndef DEMO_STANCE_H
#define DEMO_STANCE_H

#include <stdint.h>

#include "demo/view.h"
#include "demo/drill.h"
#include "demo/tempo.h"

struct company; /* the drill, its clock and everybody's real targets; lives in the arena */

struct stance {
    struct point steps;     /* grid steps */
    struct vec body;        /* on the ground below the body, ft */
    struct vec left, right; /* feet, ft */
    double horn;            /* 0 down .. 1 up */
    double horn_deg;        /* off the uniform angle */
    double flag_deg;        /* pole from upright, clockwise as seen from the front */
    double lean_deg;
    double beat;  /* counts since the start, for conducting */
    bool dropped; /* the flag lies on the ground */
};

struct company *company_make(struct arena *a, const struct drill *d, const struct tempo *t,
                             uint64_t scatter);
struct point company_steps(const struct company *co, size_t performer, double at_s);
struct stance company_stance(const struct company *co, size_t performer, double at_s);
/* Counts of the set at which the performer leaves and arrives (0 and counts without a fault). */
void company_span(const struct company *co, size_t performer, int set, double *leave,
                  double *arrive);
/* The spot the performer really makes for in that set. */
struct point company_target(const struct company *co, size_t performer, int set);

/* A number in [0, 1) that hangs on its arguments alone. */
double scatter_unit(uint64_t scatter, uint64_t a, uint64_t b);

#endif
