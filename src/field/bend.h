/* A picture that no camera of ours explains: a telephone that steadies it turns and stretches each frame
 * by itself. What the camera leaves of the lines' misses is then explained by a homography of the picture
 * (field/camera.h), eight free numbers behind the four that move. */
#ifndef FIELD_BEND_H
#define FIELD_BEND_H

#include "field/lock.h"

/* Bends the camera of a fit where that explains the lines much better: the median miss shrinks to under
 * 0.7 of what it was, and by an F test (8 numbers, each stretch of line taken as one measurement) that
 * is chance once in a thousand. Else the fit stays as it is. A fit whose lines are met to 0.18 pixel, as
 * clear pictures' are, is not tried. Its covariance stays the camera's, whose misses were larger. True:
 * it is bent. */
bool bend_fit(const struct lock_ask *ask, struct lock_fit *fit);

#endif
