/* What is fixed for a clip, out of several of its pictures at once: where the camera stands, its lens,
 * the field's crown, how broad the sidelines are. Each picture has a pan, a tilt, a roll and a focal
 * length of its own (4 numbers beside the 6), all in one adjustment of all lines and picks.
 *
 * A single picture trades the camera's place for its zoom and aim, and the crown for the camera's
 * height; pictures that look elsewhere, or closer, do not agree to the same trade. The errors are as
 * the lock's (field/lock.h), and a stretch of line counts once, in however many pictures it is seen:
 * paint that is not laid straight is so in all of them. */
#ifndef FIELD_ADJUST_H
#define FIELD_ADJUST_H

#include "field/lock.h"

struct adjust_view {
    const struct luma *picture;
    struct camera
        camera; /* about right; where it stands, its lens and crown are taken of the first */
    const struct pick *picks; /* those of this picture, each with its sd; may be none */
    size_t n;
};

enum { ADJUST_MOST = 16 };

struct adjust_ask {
    const struct grid *grid;
    double sideline_width; /* inches, about; 0: none is seen */
    const struct adjust_view *views;
    size_t n; /* 1 .. ADJUST_MOST, of one size */
};

struct adjustment {
    struct camera fixed; /* X, Y, Z, k1 and crown; the rest as in the first view that was used */
    double cov[CAMERA_PARAMETERS][CAMERA_PARAMETERS]; /* of these five; 0 elsewhere */
    double sideline_width;                            /* inches; 0: none */
    bool lens, crown;                 /* entered: each more than four of its sd from nothing, and
                                          enough to matter; else it is 0, and in the cov all the same */
    struct lock_fit fit[ADJUST_MOST]; /* each view's camera, fixed part and all, and its error; held
                                          0: its lines were not where its camera expects them */
};

/* False with ERR_INPUT: too many or too few views, none of which shows its lines. */
bool adjust(const struct adjust_ask *ask, struct adjustment *out, struct err *e);

#endif
