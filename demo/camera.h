/* A pinhole camera in the press box: no distortion, square pixels.
 *
 * World in feet: X from the 50 (side 2 positive), Y from the front sideline towards the back,
 * Z up. Picture in pixels, the center of the top left pixel at (0, 0), v down.
 * [u v 1]' ~ K R (P - position), K = [f 0 cx; 0 f cy; 0 0 1], rows of R: right, down, forward. */
#ifndef DEMO_CAMERA_H
#define DEMO_CAMERA_H

#include <stdbool.h>

struct vec {
    double x, y, z;
};

struct pixel {
    double u, v;
    double scale; /* pixels per foot across at that depth; <= 0 behind the camera */
};

struct camera {
    int width, height;
    double focal_px, cx, cy;
    struct vec at, aim;
    double r[3][3];
};

extern const double FEET_PER_STEP, FEET_PER_DEPTH_STEP; /* 22.5 in; 160 ft / 84 */

/* The camera stands at `at` and its axis meets the ground at `aim`; no roll. */
struct camera camera_make(int width, int height, double focal_px, struct vec at, struct vec aim);
struct pixel camera_project(const struct camera *c, struct vec p);
/* Where the ray through a pixel meets the ground; false above the horizon. */
bool camera_ground(const struct camera *c, double u, double v, struct vec *out);
/* K [R | -R at], row by row. */
void camera_matrix(const struct camera *c, double p[3][4]);

#endif
