#include "field/camera.h"

#include <math.h>

/* --- which way it looks ----------------------------------------------------------------------- */

struct aim {
    double right[3], down[3], forward[3]; /* before the roll */
    double sin_tilt, cos_tilt, sin_roll, cos_roll;
};

static struct aim aim_of(const struct camera *c)
{
    const double sp = sin(c->p[CAMERA_PAN]), cp = cos(c->p[CAMERA_PAN]);
    const double st = sin(c->p[CAMERA_TILT]), ct = cos(c->p[CAMERA_TILT]);
    return (struct aim){.right = {cp, -sp, 0},
                        .down = {-sp * st, -cp * st, -ct},
                        .forward = {sp * ct, cp * ct, -st},
                        .sin_tilt = st,
                        .cos_tilt = ct,
                        .sin_roll = sin(c->p[CAMERA_ROLL]),
                        .cos_roll = cos(c->p[CAMERA_ROLL])};
}

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/* A vector of right, down and forward turned by the roll. */
static void turn(const struct aim *a, const double in[3], double out[3])
{
    out[0] = in[0] * a->cos_roll + in[1] * a->sin_roll;
    out[1] = in[1] * a->cos_roll - in[0] * a->sin_roll;
    out[2] = in[2];
}

static void to_camera(const struct aim *a, const double v[3], double q[3])
{
    const double flat[3] = {dot(a->right, v), dot(a->down, v), dot(a->forward, v)};
    turn(a, flat, q);
}

/* --- the ground ------------------------------------------------------------------------------- */

/* Share of the crown, and how it changes with y. */
static double profile(const struct camera *c, double y, double *slope)
{
    const double t = c->half > 0 ? (y - c->half) / c->half : 1;
    *slope = fabs(t) < 1 ? -2 * t / c->half : 0;
    return fabs(t) < 1 ? 1 - t * t : 0;
}

double camera_ground(const struct camera *c, double y)
{
    double slope;
    return c->p[CAMERA_CROWN] * profile(c, y, &slope);
}

/* --- into the picture ------------------------------------------------------------------------- */

/* One seen point: its place before the camera, in the plane of the picture, and how far the lens
 * moves it. */
struct seen {
    double q[3], u, v, s, d;
    double focal, k1, half2; /* half2: the square of half the width */
};

/* How the pixel moves when q does. */
static void move_of(const struct seen *at, const double dq[3], double out[2])
{
    const double du = at->focal * (dq[0] - at->q[0] / at->q[2] * dq[2]) / at->q[2];
    const double dv = at->focal * (dq[1] - at->q[1] / at->q[2] * dq[2]) / at->q[2];
    const double ds = 2 * (at->u * du + at->v * dv) / at->half2;
    out[0] = du * at->d + at->u * at->k1 * ds;
    out[1] = dv * at->d + at->v * at->k1 * ds;
}

static void put(struct camera_slope *s, int column, const double d[2])
{
    s->by_camera[0][column] = d[0];
    s->by_camera[1][column] = d[1];
}

static void slopes(const struct seen *at, const struct aim *a, const double share[2],
                   const struct camera *c, struct camera_slope *out)
{
    double flat[3], dq[3], d[2];
    static const double unit[3][3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    double axis[3][2]; /* how the pixel moves with the point's X, Y and Z */
    for (int i = 0; i < 3; i++) {
        to_camera(a, unit[i], dq);
        move_of(at, dq, axis[i]);
        put(out, CAMERA_X + i, (double[2]){-axis[i][0], -axis[i][1]});
    }
    /* back to right, down, forward, whose changes with pan and tilt are plain */
    flat[0] = at->q[0] * a->cos_roll - at->q[1] * a->sin_roll;
    flat[1] = at->q[1] * a->cos_roll + at->q[0] * a->sin_roll;
    flat[2] = at->q[2];
    const double level = flat[2] * a->cos_tilt - flat[1] * a->sin_tilt;
    turn(a, (double[3]){-level, -flat[0] * a->sin_tilt, flat[0] * a->cos_tilt}, dq);
    move_of(at, dq, d);
    put(out, CAMERA_PAN, d);
    turn(a, (double[3]){0, -flat[2], flat[1]}, dq);
    move_of(at, dq, d);
    put(out, CAMERA_TILT, d);
    move_of(at, (double[3]){at->q[1], -at->q[0], 0}, d);
    put(out, CAMERA_ROLL, d);
    const double by_focal = (at->d + 2 * at->k1 * at->s) / at->focal;
    put(out, CAMERA_FOCAL, (double[2]){at->u * by_focal, at->v * by_focal});
    put(out, CAMERA_K1, (double[2]){at->u * at->s, at->v * at->s});
    put(out, CAMERA_CROWN, (double[2]){axis[2][0] * share[0], axis[2][1] * share[0]});
    const double rise = c->p[CAMERA_CROWN] * share[1];
    for (int k = 0; k < 2; k++) {
        out->by_place[k][0] = axis[0][k];
        out->by_place[k][1] = axis[1][k] + axis[2][k] * rise;
    }
}

/* The lens moves points outward of this no further out: there its picture would fold. */
static double most_s(double k1)
{
    return k1 < 0 ? 1 / (-3 * k1) : INFINITY;
}

/* The pixel, and how it moves, behind the bend. */
static void bend(const struct camera *c, struct pixel *at, struct camera_slope *s)
{
    double j[2][2];
    *at = camera_bent(c, *at, j);
    for (int k = 0; s && k < CAMERA_PARAMETERS; k++) {
        const double x = s->by_camera[0][k], y = s->by_camera[1][k];
        put(s, k, (double[2]){j[0][0] * x + j[0][1] * y, j[1][0] * x + j[1][1] * y});
    }
    for (int k = 0; s && k < 2; k++) {
        const double x = s->by_place[0][k], y = s->by_place[1][k];
        s->by_place[0][k] = j[0][0] * x + j[0][1] * y;
        s->by_place[1][k] = j[1][0] * x + j[1][1] * y;
    }
}

bool camera_sees(const struct camera *c, struct field_place at, struct pixel *out,
                 struct camera_slope *slope)
{
    static const double nearest = 1; /* inch */
    const struct aim a = aim_of(c);
    double share[2];
    share[0] = profile(c, at.y, &share[1]);
    const double v[3] = {at.x - c->p[CAMERA_X], at.y - c->p[CAMERA_Y],
                         c->p[CAMERA_CROWN] * share[0] - c->p[CAMERA_Z]};
    struct seen s = {.focal = c->p[CAMERA_FOCAL], .k1 = c->p[CAMERA_K1]};
    s.half2 = c->width * c->width / 4;
    to_camera(&a, v, s.q);
    if (!(s.q[2] > nearest))
        return false;
    s.u = s.focal * s.q[0] / s.q[2];
    s.v = s.focal * s.q[1] / s.q[2];
    s.s = (s.u * s.u + s.v * s.v) / s.half2;
    s.d = 1 + s.k1 * s.s;
    if (!(s.s < most_s(s.k1)))
        return false;
    *out = (struct pixel){c->width / 2 + s.u * s.d, c->height / 2 + s.v * s.d};
    if (slope)
        slopes(&s, &a, share, c, slope);
    if (camera_is_bent(c))
        bend(c, out, slope);
    return isfinite(out->x) && isfinite(out->y);
}

/* --- out of the picture ----------------------------------------------------------------------- */

/* The radius before the lens, in halves of the width, from the one behind it: Newton from outside
 * of the root of r (1 + k1 r^2), which rises up to the fold. */
static bool before_lens(double k1, double seen, double *r)
{
    const double fold = sqrt(most_s(k1));
    if (k1 < 0 && seen >= fold * 2 / 3)
        return false;
    *r = seen;
    for (int i = 0; i < 30; i++) {
        const double step = (*r * (1 + k1 * *r * *r) - seen) / (1 + 3 * k1 * *r * *r);
        *r -= step;
        if (fabs(step) < 1e-14 * (1 + fabs(*r)))
            break;
    }
    return isfinite(*r);
}

bool camera_place(const struct camera *c, struct pixel at, struct field_place *out)
{
    static const double farthest = 12000, close = 1e-9; /* inches */
    const struct aim a = aim_of(c);
    if (camera_is_bent(c) && !camera_unbent(c, at, &at))
        return false;
    const double half = c->width / 2, x = at.x - half, y = at.y - c->height / 2;
    const double seen = hypot(x, y) / half;
    double r = 0;
    if (seen > 0 && !before_lens(c->p[CAMERA_K1], seen, &r))
        return false;
    const double scale = (seen > 0 ? r / seen : 1) / c->p[CAMERA_FOCAL];
    const double q[2] = {x * scale, y * scale};
    const double flat[2] = {q[0] * a.cos_roll - q[1] * a.sin_roll,
                            q[1] * a.cos_roll + q[0] * a.sin_roll};
    double ray[3];
    for (int i = 0; i < 3; i++)
        ray[i] = a.right[i] * flat[0] + a.down[i] * flat[1] + a.forward[i];
    if (!(ray[2] < 0))
        return false;
    double z = 0, y_was = INFINITY;
    for (int i = 0; i < 100; i++) {
        const double t = (z - c->p[CAMERA_Z]) / ray[2];
        *out = (struct field_place){c->p[CAMERA_X] + t * ray[0], c->p[CAMERA_Y] + t * ray[1]};
        if (!(t > 0 && t * hypot(ray[0], ray[1]) < farthest))
            return false;
        if (fabs(out->y - y_was) < close)
            return true;
        y_was = out->y;
        z = camera_ground(c, out->y);
    }
    return false;
}

/* --- steps ------------------------------------------------------------------------------------ */

struct field_place field_place_of(const struct grid *g, double x, double y)
{
    return (struct field_place){x * GRID_ACROSS_IN, grid_depth_in(g, y)};
}

void field_place_steps(const struct grid *g, struct field_place p, double *x, double *y)
{
    *x = p.x / GRID_ACROSS_IN;
    *y = grid_depth_steps(g, p.y);
}
