/* How sure a line through taps is. Inner to the room.
 *
 * A tap misses its beat by what scatters from tap to tap (sd) and by what wanders: a random walk
 * that goes on by a step at every beat (wander times sd). How much a person wanders cannot be told
 * from few taps, so no one figure is taken for it: every ratio of the two is weighed by how likely
 * it makes the taps (restricted likelihood, flat over the ratios; Patterson & Thompson 1971), and
 * the error is where the mixture of their t distributions leaves 5 %. The line itself stays that of
 * least squares, which a wandering tap does not bend to either side. */
#ifndef COUNT_TAPS_ERROR_H
#define COUNT_TAPS_ERROR_H

#include <stddef.h>

enum { TAP_WANDERS = 9 };

/* The taps on the line: beat numbers rising, what was written by then, us. */
struct tap_points {
    const double *beat, *w, *t;
    size_t n; /* 3 or more */
};

/* For each ratio: its weight and the covariance of offset and slope, as gsl_fit_linear's. */
struct tap_cov {
    double weight[TAP_WANDERS], cov[TAP_WANDERS][3];
    int freedom; /* of the t distributions; 0: normal, what people scatter and wander is assumed */
};

/* Of four taps or more as they lie; of three, which cannot show it, by usual figures: scatter_us or
 * what is seen, and half of that a beat of wandering. */
void tap_cov_of(const struct tap_points *p, double scatter_us, struct tap_cov *out);

/* 95 % of offset + slope * w. */
double tap_cov_error(const struct tap_cov *c, double w);
/* 95 % of the slope. */
double tap_cov_slope(const struct tap_cov *c);

#endif
