#include "field/meant.h"

#include <math.h>

/* A camera there, with the middle of the spots where they were pointed at. */
static struct camera aimed(const struct meant_ask *m, const double at[3], double focal)
{
    struct camera c = m->picture;
    double x = 0, y = 0, px = 0, py = 0;
    for (size_t i = 0; i < m->n; i++) {
        x += m->spots[i].on.x / (double)m->n, y += m->spots[i].on.y / (double)m->n;
        px += m->spots[i].at.x / (double)m->n, py += m->spots[i].at.y / (double)m->n;
    }
    for (int k = 0; k < 3; k++)
        c.p[CAMERA_X + k] = at[k];
    x -= at[0], y -= at[1];
    c.p[CAMERA_PAN] = atan2(x, y) - atan((px - c.width / 2) / focal);
    c.p[CAMERA_TILT] = atan2(at[2], hypot(x, y)) - atan((py - c.height / 2) / focal);
    c.p[CAMERA_ROLL] = 0;
    c.p[CAMERA_FOCAL] = focal;
    c.p[CAMERA_K1] = c.p[CAMERA_CROWN] = 0;
    return c;
}

/* From each of some places (inches; common practice, no source) with each of some lenses. */
static void from_boxes(const struct meant_ask *m, struct camera_fit *best)
{
    static const double across[] = {-700, 0, 700}, before[] = {-600, -1500}, up[] = {300, 700},
                        lens[] = {0.7, 1.4};
    for (int i = 0; i < 3 * 2 * 2 * 2; i++) {
        const double at[3] = {across[i % 3], before[i / 3 % 2], up[i / 6 % 2]};
        const struct camera c = aimed(m, at, lens[i / 12] * m->picture.width);
        struct camera_fit now;
        struct err none;
        if (camera_improve(&m->ask, &c, &now, &none) && now.chi2 < best->chi2 &&
            now.camera.p[CAMERA_Z] > 0)
            *best = now;
    }
}

bool camera_meant(const struct meant_ask *m, struct camera_fit *out, struct err *e)
{
    static const double far = 9; /* squared standard deviations of each number that was measured */
    struct camera start = m->picture;
    if (!camera_start(m->spots, m->n, &start, e))
        return false;
    const bool found = camera_improve(&m->ask, &start, out, e);
    if (!found)
        out->chi2 = INFINITY;
    if (out->chi2 > far * 2 * (double)m->ask.n)
        from_boxes(m, out);
    return isfinite(out->chi2);
}
