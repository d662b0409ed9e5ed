/* The camera held to the paint of the field.
 *
 * Along the image normal of each piece of paint the best white bar of its projected width is looked
 * for; the displacements correct the camera by iterated least squares with Tukey's biweight (scale:
 * the median absolute deviation), so that people, shadows and other sports' lines fall out. Lineage:
 * Harris & Stennett, RAPiD, British Machine Vision Conference 1990; Bouthemy, moving edges, PAMI
 * 11(5), 1989 (both from memory). */
#ifndef FIELD_LOCK_H
#define FIELD_LOCK_H

#include <stdint.h>

#include "base/err.h"
#include "field/paint.h"
#include "field/solve.h"

/* Grey levels, row by row. */
struct luma {
    const uint8_t *at;
    int width, height;
    size_t stride;
};

struct lock_ask {
    const struct luma *picture;
    const struct paint_list *paint;
    bool free[CAMERA_PARAMETERS];
    struct prior prior[CAMERA_PARAMETERS];
    double reach; /* pixels; the first look, those after it are nearer */
    int rounds;   /* looks at the picture */
    /* Picks that take part with the lines, each with its sd; NULL: none. */
    const struct pick *picks;
    size_t n_picks;
    /* What is not known of the parameters that are not free: their covariance, the free ones' rows
     * not read. What the free ones are off by because of it is in the fit's. NULL: all is known. */
    const double (*unsure)[CAMERA_PARAMETERS];
    double width_sd; /* inches: how far the sidelines' width may be from their paint's; 0: known */
};

struct lock_fit {
    struct camera camera;
    double cov[CAMERA_PARAMETERS][CAMERA_PARAMETERS];
    double rms_px;    /* of the pieces that were held */
    size_t held;      /* pieces that agree */
    size_t expected;  /* pieces that the picture should show */
    size_t found;     /* bars found near them, right or wrong */
    double width_off; /* inches by which the sidelines are broader than their paint */
};

/* From a camera that is off by `reach` pixels at most. False with ERR_INPUT: too little paint. */
bool lock_camera(const struct lock_ask *ask, const struct camera *start, struct lock_fit *out,
                 struct err *e);

/* How far the bars of one yard line are from where a camera has it. */
struct line_miss {
    double steps;  /* of 22.5 in across: root of the mean square of four parts */
    size_t pieces; /* bars that were found within `reach`, without those of others */
};
struct line_miss lock_line_miss(const struct lock_ask *ask, const struct camera *c, int yards);

#endif
