/* The camera that explains what was pointed at: spots whose pixels are known, and pixels on lines.
 *
 * The sum of squares of the pixels' misses, each divided by its standard deviation, is made least
 * (Levenberg and Marquardt, GSL's gsl_multifit_nlinear) from a start that a homography gives: the
 * normalised DLT of Hartley ("In Defense of the Eight-Point Algorithm", PAMI 19(6), 1997), taken
 * apart as Zhang does ("A Flexible New Technique for Camera Calibration", PAMI 22(11), 2000). The
 * covariance is that of the linearised problem, (J' J)^-1 with J of the weighted misses. */
#ifndef FIELD_SOLVE_H
#define FIELD_SOLVE_H

#include <stddef.h>

#include "base/err.h"
#include "field/camera.h"

enum pick_kind {
    PICK_SPOT,      /* at.x, at.y is `on` */
    PICK_YARD_LINE, /* somewhere on the line X = on.x */
    PICK_ALONG,     /* somewhere on the line Y = on.y */
};

struct pick {
    enum pick_kind kind;
    struct pixel at;
    struct field_place on;
    double sd;  /* pixels, > 0 */
    int number; /* what messages call it; 0: its position from 1 */
};

int pick_number(const struct pick *picks, size_t i);

/* What was known of a parameter before; sd 0: nothing. */
struct prior {
    double mean, sd;
};

struct camera_ask {
    const struct pick *picks;
    size_t n;
    bool free[CAMERA_PARAMETERS]; /* the others stay as they are in start */
    struct prior prior[CAMERA_PARAMETERS];
};

struct camera_fit {
    struct camera camera;
    double cov[CAMERA_PARAMETERS][CAMERA_PARAMETERS]; /* 0 where a parameter was not free */
    double rms_px;                                    /* of the misses, both directions of a spot */
    double chi2; /* the sum that was made least, priors with it */
    int freedom; /* numbers measured (and known before) less parameters */
};

/* How far the pixel of a pick is from where the camera has it: x and y for a spot, the distance
 * across the line in [0] for a line. Returns how many numbers that are; 0 when the camera does not
 * see it. */
int pick_miss(const struct camera *c, const struct pick *s, double out[2]);

/* Improves `start`. False with ERR_INPUT when the picks do not say enough, or nothing is found. */
bool camera_improve(const struct camera_ask *ask, const struct camera *start,
                    struct camera_fit *out, struct err *e);

/* A start from spots alone: all of the picks are spots, four or more. The picture's size and
 * the field's half are taken from *out, which becomes the camera. False with ERR_INPUT: fewer than
 * four, two in one place, or all but one in a line, each named by its number from 1. */
bool camera_start(const struct pick *picks, size_t n, struct camera *out, struct err *e);

/* The homography from places to pixels that makes the sum of squared misses least: rows of h, h33 = 1
 * (from the normalised DLT, improved by Levenberg and Marquardt). False as camera_start(). */
bool homography_fit(const struct pick *picks, size_t n, double h[9], struct err *e);

#endif
