/* The answer sheet frame by frame, as CSV (RFC 4180): where the camera was and where everybody
 * stood, in the words of field/camera.h and show/grid.h. */
#ifndef DEMO_ANSWERS_H
#define DEMO_ANSWERS_H

#include "demo/shot.h"
#include "demo/stance.h"

struct answers {
    const struct drill *drill;
    const struct company *company;
    const struct shot *shot;
    const struct grid *grid; /* of the field that is painted */
    const int64_t *frame_us; /* when each frame is shown */
    size_t n_frames;
};

/* ms,x_in,y_in,z_in,pan,tilt,roll,focal_px,k1,crown_in,width,height: a row for every frame; radians,
 * pixels of the picture as shown. */
bool answers_cameras(const char *path, const struct answers *a, struct err *e);
/* ms,performer,across,depth,x_in,y_in: steps of the grid and inches; a row for every frame and
 * performer. */
bool answers_places(const char *path, const struct answers *a, struct err *e);
/* performer,set,across,depth: the written dots in the words of that grid, on the same ground. */
bool answers_dots(const char *path, const struct answers *a, struct err *e);

#endif
