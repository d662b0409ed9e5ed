/* What a frame is seen through. Demo rooms reckon in feet: X from the 50 (side 2 positive), Y from
 * the front sideline towards the back, Z up from the ground below. Pictures in pixels, the center of
 * the top left pixel at (0, 0), v down.
 *
 * A plain view is a pinhole on a flat field, without roll: [u v 1]' ~ K R (P - position), K = [f 0
 * cx; 0 f cy; 0 0 1], rows of R: right, down, forward. It is the demo's own look and draws the same
 * picture forever. Every other view goes through the camera of field/camera.h: a lens, a crowned
 * field, any pose. (There the first pixel's center is (0.5, 0.5), and Z counts from the sidelines.) */
#ifndef DEMO_VIEW_H
#define DEMO_VIEW_H

#include <stdbool.h>

#include "field/camera.h"

struct vec {
    double x, y, z;
};

struct sight {
    double u, v;
    double scale; /* pixels per foot across at that depth; <= 0 when it cannot be seen */
};

struct view {
    int width, height;
    bool plain;
    struct vec at;           /* where it stands; Z from the sidelines */
    double shade_x, shade_y; /* ft that the shadow of a thing falls off it for every foot of height;
                                0, 0: the sun is high */
    /* plain views */
    double focal_px, cx, cy;
    struct vec aim; /* where the axis meets the ground */
    double r[3][3];
    /* all others */
    struct camera lens;
};

extern const double FEET_PER_STEP, FEET_PER_DEPTH_STEP; /* 22.5 in; 160 ft / 84 */

/* A plain view from `at` towards `aim` on the ground. */
struct view view_plain(int width, int height, double focal_px, struct vec at, struct vec aim);
struct view view_through(const struct camera *lens);
bool view_low_sun(const struct view *w);
struct sight view_sees(const struct view *w, struct vec p);
/* Where the ray through a pixel meets the ground; false above the horizon. */
bool view_ground(const struct view *w, double u, double v, struct vec *out);
/* K [R | -R at] of a plain view, row by row. */
void view_matrix(const struct view *w, double p[3][4]);

#endif
