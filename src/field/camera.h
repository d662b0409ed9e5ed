/* A camera in the press box, and where a place on the ground is in its picture.
 *
 * World in inches: X from the 50, side 2 positive; Y from the front sideline to the back; Z up from
 * the sidelines. Picture in pixels as it is shown, square, origin at its top left corner, y down:
 * the center of the first pixel is (0.5, 0.5). The axis meets the picture's middle.
 *
 * A point P of the world lies at q = R (P - position), R's rows being right, down and forward. With
 * U = focal qx / qz, V = focal qy / qz and s = (U^2 + V^2) / (width / 2)^2 it is seen at the middle
 * + (U, V) (1 + k1 s): a pinhole with one radial term, so that k1 is the share by which the middle
 * of the left edge is moved. (Another scaling of the model of Brown, "Decentering Distortion of
 * Lenses", Photogrammetric Engineering 32(3), 1966: k1 there = k1 focal^2 / (width / 2)^2.)
 *
 * A football field is higher in its middle: Z = crown (1 - ((Y - half) / half)^2), 0 beside it. */
#ifndef FIELD_CAMERA_H
#define FIELD_CAMERA_H

#include <stdbool.h>

#include "show/grid.h"

/* What a camera is made of, in the order of its parameters. Inches, radians, pixels. */
enum {
    CAMERA_X,
    CAMERA_Y,
    CAMERA_Z,
    CAMERA_PAN,  /* to side 2 from straight across the field */
    CAMERA_TILT, /* down from level */
    CAMERA_ROLL, /* its right side down: clockwise as the camera looks */
    CAMERA_FOCAL,
    CAMERA_K1,
    CAMERA_CROWN,
    CAMERA_PARAMETERS
};

enum { BENDS = 8 };

struct camera {
    double p[CAMERA_PARAMETERS];
    double width, height; /* of the picture */
    double half;          /* half the field's depth, inches; where the crown is */
    /* What a telephone's stabilisation does to the finished picture: a homography near none. With u and
     * v from the middle in halves of the width a point is moved to
     * ((1 + b0) u + b1 v + b2) / w, (b3 u + (1 + b4) v + b5) / w with w = 1 + b6 u + b7 v. All 0: none. */
    double bend[BENDS];
};

struct pixel {
    double x, y;
};

/* Inches. */
struct field_place {
    double x, y;
};

/* How a pixel moves with each parameter and with the place: one row for x, one for y. */
struct camera_slope {
    double by_camera[2][CAMERA_PARAMETERS];
    double by_place[2][2];
};

/* How high the ground is there. */
double camera_ground(const struct camera *c, double y);
/* False: behind the camera, or so far off its axis that its lens does not show it. slope: NULL. */
bool camera_sees(const struct camera *c, struct field_place at, struct pixel *out,
                 struct camera_slope *slope);
/* Where the ray through a pixel meets the ground; false when it meets none (the sky), or more than
 * a thousand feet off. */
bool camera_place(const struct camera *c, struct pixel at, struct field_place *out);

/* Through the bend and back; jacobian (may be NULL): how the bent pixel moves with the other. */
struct pixel camera_bent(const struct camera *c, struct pixel at, double (*jacobian)[2]);
bool camera_unbent(const struct camera *c, struct pixel at, struct pixel *out);
bool camera_is_bent(const struct camera *c);

/* Grid steps and inches of a place. */
struct field_place field_place_of(const struct grid *g, double x, double y);
void field_place_steps(const struct grid *g, struct field_place p, double *x, double *y);

#endif
