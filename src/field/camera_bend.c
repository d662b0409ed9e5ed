/* The finished picture bent: a homography of its own behind the camera. */
#include <math.h>

#include "field/camera.h"

bool camera_is_bent(const struct camera *c)
{
    bool any = false;
    for (int k = 0; k < BENDS; k++)
        any |= fabs(c->bend[k]) > 0;
    return any;
}

struct pixel camera_bent(const struct camera *c, struct pixel at, double (*jacobian)[2])
{
    const double half = c->width / 2, *b = c->bend;
    const double u = (at.x - half) / half, v = (at.y - c->height / 2) / half;
    const double w = 1 + b[6] * u + b[7] * v;
    const double x = ((1 + b[0]) * u + b[1] * v + b[2]) / w;
    const double y = (b[3] * u + (1 + b[4]) * v + b[5]) / w;
    if (jacobian) {
        jacobian[0][0] = (1 + b[0] - x * b[6]) / w;
        jacobian[0][1] = (b[1] - x * b[7]) / w;
        jacobian[1][0] = (b[3] - y * b[6]) / w;
        jacobian[1][1] = (1 + b[4] - y * b[7]) / w;
    }
    return (struct pixel){half + half * x, c->height / 2 + half * y};
}

/* Linear in u and v once multiplied out: two equations. */
bool camera_unbent(const struct camera *c, struct pixel at, struct pixel *out)
{
    const double half = c->width / 2, *b = c->bend;
    const double x = (at.x - half) / half, y = (at.y - c->height / 2) / half;
    const double a11 = 1 + b[0] - x * b[6], a12 = b[1] - x * b[7], r1 = x - b[2];
    const double a21 = b[3] - y * b[6], a22 = 1 + b[4] - y * b[7], r2 = y - b[5];
    const double det = a11 * a22 - a12 * a21;
    if (!(fabs(det) > 1e-6))
        return false;
    *out = (struct pixel){half + half * (r1 * a22 - r2 * a12) / det,
                          c->height / 2 + half * (a11 * r2 - a21 * r1) / det};
    return true;
}
