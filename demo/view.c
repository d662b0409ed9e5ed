#include <math.h>

#include "demo/view.h"

enum { INCHES = 12 };
const double FEET_PER_STEP = 22.5 / INCHES, FEET_PER_DEPTH_STEP = 160.0 / 84;

/* --- plain views ------------------------------------------------------------------------------ */

struct view view_plain(int width, int height, double focal_px, struct vec at, struct vec aim)
{
    struct view w = {.width = width,
                     .height = height,
                     .plain = true,
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
        w.r[0][i] = right[i];
        w.r[1][i] = forward[j] * right[k] - forward[k] * right[j];
        w.r[2][i] = forward[i];
    }
    return w;
}

static struct sight pinhole(const struct view *w, struct vec p)
{
    const double d[3] = {p.x - w->at.x, p.y - w->at.y, p.z - w->at.z};
    double q[3];
    for (int i = 0; i < 3; i++)
        q[i] = w->r[i][0] * d[0] + w->r[i][1] * d[1] + w->r[i][2] * d[2];
    const double scale = w->focal_px / q[2];
    return (struct sight){w->cx + scale * q[0], w->cy + scale * q[1], scale};
}

static bool pinhole_ground(const struct view *w, double u, double v, struct vec *out)
{
    const double q[3] = {(u - w->cx) / w->focal_px, (v - w->cy) / w->focal_px, 1};
    double d[3];
    for (int i = 0; i < 3; i++)
        d[i] = w->r[0][i] * q[0] + w->r[1][i] * q[1] + w->r[2][i] * q[2];
    if (d[2] >= -1e-9)
        return false;
    const double t = -w->at.z / d[2];
    *out = (struct vec){w->at.x + t * d[0], w->at.y + t * d[1], 0};
    return true;
}

void view_matrix(const struct view *w, double p[3][4])
{
    for (int j = 0; j < 4; j++) {
        double q[3];
        for (int i = 0; i < 3; i++)
            q[i] = j < 3 ? w->r[i][j]
                         : -(w->r[i][0] * w->at.x + w->r[i][1] * w->at.y + w->r[i][2] * w->at.z);
        p[0][j] = w->focal_px * q[0] + w->cx * q[2];
        p[1][j] = w->focal_px * q[1] + w->cy * q[2];
        p[2][j] = q[2];
    }
}

/* --- through a lens --------------------------------------------------------------------------- */

struct view view_through(const struct camera *lens)
{
    return (struct view){
        .width = (int)lens->width,
        .height = (int)lens->height,
        .at = {lens->p[CAMERA_X] / INCHES, lens->p[CAMERA_Y] / INCHES, lens->p[CAMERA_Z] / INCHES},
        .focal_px = lens->p[CAMERA_FOCAL],
        .lens = *lens};
}

/* A point so high above the ground is where a camera so much lower sees the ground below it. */
static struct sight lens_sees(const struct view *w, struct vec p)
{
    struct camera lower = w->lens;
    const struct field_place below = {p.x * INCHES, p.y * INCHES};
    const double pan = lower.p[CAMERA_PAN], tilt = lower.p[CAMERA_TILT];
    struct pixel seen;
    lower.p[CAMERA_Z] -= p.z * INCHES;
    if (!camera_sees(&lower, below, &seen, NULL))
        return (struct sight){0, 0, -1};
    const double deep = ((p.x - w->at.x) * sin(pan) + (p.y - w->at.y) * cos(pan)) * cos(tilt) +
                        (lower.p[CAMERA_Z] - camera_ground(&lower, below.y)) / INCHES * sin(tilt);
    return (struct sight){seen.x - 0.5, seen.y - 0.5, w->focal_px / deep};
}

static bool lens_ground(const struct view *w, double u, double v, struct vec *out)
{
    const struct pixel at = {u + 0.5, v + 0.5};
    struct field_place p;
    if (camera_place(&w->lens, at, &p)) {
        *out = (struct vec){p.x / INCHES, p.y / INCHES, 0};
        return true;
    }
    /* Near its ground a camera's rays meet it early, all that ever do. */
    struct camera low = w->lens;
    low.p[CAMERA_Z] = INCHES;
    low.p[CAMERA_CROWN] = 0;
    if (!camera_place(&low, at, &p))
        return false;
    const double far = w->lens.p[CAMERA_Z] / INCHES;
    *out = (struct vec){w->at.x + (p.x - low.p[CAMERA_X]) / INCHES * far,
                        w->at.y + (p.y - low.p[CAMERA_Y]) / INCHES * far, 0};
    return true;
}

/* --- either ----------------------------------------------------------------------------------- */

bool view_low_sun(const struct view *w)
{
    return w->shade_x != 0 || w->shade_y != 0;
}

struct sight view_sees(const struct view *w, struct vec p)
{
    return w->plain ? pinhole(w, p) : lens_sees(w, p);
}

bool view_ground(const struct view *w, double u, double v, struct vec *out)
{
    return w->plain ? pinhole_ground(w, u, v, out) : lens_ground(w, u, v, out);
}
