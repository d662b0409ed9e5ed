/* How the clip is filmed: a camera on its tripod, or in a hand. */
#ifndef DEMO_SHOT_H
#define DEMO_SHOT_H

#include <stdint.h>

#include "demo/view.h"

struct shot {
    int width, height;
    double focal_px;
    struct vec at, aim;            /* ft; where the axis meets the ground when nothing moves */
    double crown_in, k1, roll_deg; /* as in field/camera.h */
    double pan_deg, pan_s;         /* it pans so far to either side, there and back in so long */
    double zoom;                   /* it zooms in by that share and out again, in 0.85 pan_s */
    double sway_deg;               /* a hand's sway in pan and tilt, at most; 0.4 of it in roll */
    double bump_s, bump_deg, bump_in; /* knocked then (0: never), by so much and so far aside */
    double shade_x, shade_y;          /* as in demo/view.h */
    uint64_t seed;
};

/* Is it the demo's own: flat field, no lens, upright and still? */
bool shot_plain(const struct shot *s);
/* Does it differ from frame to frame? */
bool shot_moves(const struct shot *s);
struct view shot_view(const struct shot *s, double at_s);
/* What a view that is not plain, or the same as a plain one, is in the words of field/camera.h. */
struct camera shot_camera(const struct shot *s, double at_s);

#endif
