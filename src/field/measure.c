#include "field/measure.h"

#include <math.h>

static const double two_95 = 5.991464547107979; /* chi-squared of two, 95 % (handbook tables) */
static const double normal_95 = 1.959963984540054;

/* How a click's place moves with the click and with the camera. */
struct pull {
    double by_click[2][2];
    double by_camera[2][CAMERA_PARAMETERS];
};

/* The inverse of how the pixel moves with the place. */
static bool pull_of(const struct camera *c, struct field_place at, struct pull *out)
{
    struct camera_slope s;
    struct pixel p;
    if (!camera_sees(c, at, &p, &s))
        return false;
    const double det = s.by_place[0][0] * s.by_place[1][1] - s.by_place[0][1] * s.by_place[1][0];
    if (!(fabs(det) > 0))
        return false;
    out->by_click[0][0] = s.by_place[1][1] / det;
    out->by_click[0][1] = -s.by_place[0][1] / det;
    out->by_click[1][0] = -s.by_place[1][0] / det;
    out->by_click[1][1] = s.by_place[0][0] / det;
    for (int r = 0; r < 2; r++)
        for (int k = 0; k < CAMERA_PARAMETERS; k++)
            out->by_camera[r][k] = -(out->by_click[r][0] * s.by_camera[0][k] +
                                     out->by_click[r][1] * s.by_camera[1][k]);
    return isfinite(det);
}

/* Covariance of coordinate r of one place and q of another. */
static double together(const struct seen_by *by, const struct pull *one, int r,
                       const struct pull *other, int q)
{
    double sum = 0;
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        for (int k = 0; k < CAMERA_PARAMETERS; k++)
            sum += one->by_camera[r][i] * by->cov[i][k] * other->by_camera[q][k];
    return sum;
}

bool measure(struct arena *a, const struct seen_by *by, const struct clicks *clicks,
             struct measured *out, struct err *e)
{
    const size_t n = clicks->n;
    struct pull *pulls = arena_alloc(a, (n + 1) * sizeof *pulls);
    *out = (struct measured){.n = n,
                             .at = arena_alloc(a, (n + 1) * sizeof *out->at),
                             .cov = arena_alloc(a, (4 * n * n + 1) * sizeof *out->cov)};
    for (size_t i = 0; i < n; i++)
        if (!camera_place(&by->camera, clicks->at[i], &out->at[i]) ||
            !pull_of(&by->camera, out->at[i], &pulls[i]))
            return err_set(e, ERR_INPUT, "click %zu (%g,%g) is on no ground", i + 1,
                           clicks->at[i].x, clicks->at[i].y);
    for (size_t i = 0; i < 2 * n; i++)
        for (size_t k = 0; k < 2 * n; k++) {
            const struct pull *one = &pulls[i / 2], *other = &pulls[k / 2];
            const int r = i % 2, q = k % 2;
            double v = together(by, one, r, other, q);
            if (i / 2 == k / 2)
                v += clicks->sd * clicks->sd *
                     (one->by_click[r][0] * one->by_click[q][0] +
                      one->by_click[r][1] * one->by_click[q][1]);
            out->cov[i * 2 * n + k] = v;
        }
    return true;
}

static double cov(const struct measured *m, size_t i, size_t k)
{
    return m->cov[i * 2 * m->n + k];
}

struct ellipse measure_ellipse(const struct measured *m, size_t i)
{
    const double xx = cov(m, 2 * i, 2 * i), yy = cov(m, 2 * i + 1, 2 * i + 1);
    const double xy = cov(m, 2 * i, 2 * i + 1);
    const double half = (xx + yy) / 2, off = hypot((xx - yy) / 2, xy);
    return (struct ellipse){sqrt(two_95 * (half + off)), sqrt(two_95 * fmax(0, half - off)),
                            atan2(2 * xy, xx - yy) / 2};
}

struct length measure_distance(const struct measured *m, size_t i, size_t k)
{
    const double x = m->at[k].x - m->at[i].x, y = m->at[k].y - m->at[i].y, d = hypot(x, y);
    if (!(d > 0))
        return (struct length){0, normal_95 * sqrt(cov(m, 2 * i, 2 * i) + cov(m, 2 * k, 2 * k))};
    const size_t of[4] = {2 * i, 2 * i + 1, 2 * k, 2 * k + 1};
    const double slope[4] = {-x / d, -y / d, x / d, y / d};
    double v = 0;
    for (int a = 0; a < 4; a++)
        for (int b = 0; b < 4; b++)
            v += slope[a] * slope[b] * cov(m, of[a], of[b]);
    return (struct length){d, normal_95 * sqrt(fmax(0, v))};
}
