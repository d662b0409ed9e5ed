/* The camera out of what was pointed at in one picture, and nothing else: for grounds without lines,
 * and as a start for those that have them. */
#ifndef FIELD_ALONE_H
#define FIELD_ALONE_H

#include "base/arena.h"
#include "field/solve.h"

/* What a person pointed at: a spot, or a line with two pixels that lie on it. */
struct pointed {
    enum pick_kind kind;
    struct pixel at, to; /* to: of a line */
    struct field_place on;
    int number; /* what messages call it */
};

struct pointing {
    const struct pointed *at;
    size_t n;
    double width, height; /* of the picture */
    const struct grid *grid;
};

/* Spots, and where two of the lines cross in or near the picture: enough for camera_start() when there
 * are four. `sd` pixels each. In the arena. */
size_t pointed_spots(struct arena *a, const struct pointing *p, double sd, struct pick **out);

struct alone {
    struct camera_fit fit;
    double sd;     /* pixels: how well was pointed, by the misses and by what is usual */
    int disagrees; /* number of the one that does not agree with the others and was left out, 0 */
    double off_px; /* by how much */
};

/* Press boxes, lenses and crowns as they usually are take part as what is known before, so that the
 * covariance says what four picks cannot tell. How well a person points is estimated from the misses
 * together with what is usual, as if four measurements had said that before (a scaled inverse
 * chi-squared prior: Gelman et al., "Bayesian Data Analysis", section 2.6; from memory). With six or
 * more, one is left out when the others agree without it as they would by chance less than once in ten
 * thousand times. The covariance is widened so that an ellipse of 95 % (measure.h) is Student's.
 * False with ERR_INPUT. */
bool alone_fit(struct arena *a, const struct pointing *p, struct alone *out, struct err *e);

/* How well a person points, sd as a share of the picture's height: 2.5 px of 1080 (common practice, no
 * source). */
#define POINTING_SD (2.5 / 1080)

#endif
