#include <math.h>

#include "demo/camera.h"

const double FEET_PER_STEP = 22.5 / 12, FEET_PER_DEPTH_STEP = 160.0 / 84;

struct camera camera_make(int width, int height, double focal_px, struct vec at, struct vec aim)
{
    struct camera c = {.width = width,
                       .height = height,
                       .focal_px = focal_px,
                       .cx = (width - 1) / 2.0,
                       .cy = (height - 1) / 2.0,
                       .at = at,
                       .aim = aim};
    const double dx = aim.x - at.x, dy = aim.y - at.y, dz = aim.z - at.z;
    const double level = hypot(dx, dy), far = hypot(level, dz);
    const double forward[3] = {dx / far, dy / far, dz / far};
    const double right[3] = {dy / level, -dx / level, 0};
    for (int i = 0; i < 3; i++) {
        const int j = (i + 1) % 3, k = (i + 2) % 3;
        c.r[0][i] = right[i];
        c.r[1][i] = forward[j] * right[k] - forward[k] * right[j];
        c.r[2][i] = forward[i];
    }
    return c;
}

struct pixel camera_project(const struct camera *c, struct vec p)
{
    const double d[3] = {p.x - c->at.x, p.y - c->at.y, p.z - c->at.z};
    double q[3];
    for (int i = 0; i < 3; i++)
        q[i] = c->r[i][0] * d[0] + c->r[i][1] * d[1] + c->r[i][2] * d[2];
    const double scale = c->focal_px / q[2];
    return (struct pixel){c->cx + scale * q[0], c->cy + scale * q[1], scale};
}

bool camera_ground(const struct camera *c, double u, double v, struct vec *out)
{
    const double q[3] = {(u - c->cx) / c->focal_px, (v - c->cy) / c->focal_px, 1};
    double d[3];
    for (int i = 0; i < 3; i++)
        d[i] = c->r[0][i] * q[0] + c->r[1][i] * q[1] + c->r[2][i] * q[2];
    if (d[2] >= -1e-9)
        return false;
    const double t = -c->at.z / d[2];
    *out = (struct vec){c->at.x + t * d[0], c->at.y + t * d[1], 0};
    return true;
}

void camera_matrix(const struct camera *c, double p[3][4])
{
    for (int j = 0; j < 4; j++) {
        double q[3];
        for (int i = 0; i < 3; i++)
            q[i] = j < 3 ? c->r[i][j]
                         : -(c->r[i][0] * c->at.x + c->r[i][1] * c->at.y + c->r[i][2] * c->at.z);
        p[0][j] = c->focal_px * q[0] + c->cx * q[2];
        p[1][j] = c->focal_px * q[1] + c->cy * q[2];
        p[2][j] = q[2];
    }
}
