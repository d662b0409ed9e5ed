#include "field/bar.h"

#include <math.h>

enum { FINE = 2, SAMPLES_MOST = 400 }; /* samples a pixel */

/* Between four pixels; pixel (0, 0) has its middle at (0.5, 0.5). */
static double level(const struct luma *l, double x, double y)
{
    const double fx = x - 0.5, fy = y - 0.5;
    const int ix = (int)fx, iy = (int)fy;
    const double ax = fx - ix, ay = fy - iy;
    const uint8_t *p = l->at + (size_t)iy * l->stride + ix;
    const double upper = p[0] + ax * (p[1] - p[0]);
    const double lower = p[l->stride] + ax * (p[l->stride + 1] - p[l->stride]);
    return upper + ay * (lower - upper);
}

static bool inside(const struct luma *l, double x, double y)
{
    return x >= 0.5 && y >= 0.5 && x < l->width - 1.5 && y < l->height - 1.5;
}

/* sum[i]: of the samples before i */
struct profile {
    double sum[SAMPLES_MOST + 1];
    int n;
};

static bool read_profile(const struct luma *l, const struct bar_ask *ask, double half,
                         struct profile *p)
{
    p->n = 2 * (int)ceil(half * FINE) + 1;
    if (p->n > SAMPLES_MOST)
        return false;
    const double x0 = ask->at.x - ask->normal[0] * half, y0 = ask->at.y - ask->normal[1] * half;
    const double x1 = ask->at.x + ask->normal[0] * half, y1 = ask->at.y + ask->normal[1] * half;
    if (!inside(l, x0, y0) || !inside(l, x1, y1))
        return false;
    p->sum[0] = 0;
    for (int i = 0; i < p->n; i++) {
        const double t = (double)i / (p->n - 1);
        p->sum[i + 1] = p->sum[i] + level(l, x0 + t * (x1 - x0), y0 + t * (y1 - y0));
    }
    return true;
}

static double mean(const struct profile *p, int from, int to)
{
    return (p->sum[to] - p->sum[from]) / (to - from);
}

/* The bar inside less the brighter of its sides, which are as wide as it is. */
static double contrast(const struct profile *p, int from, int bar, int side)
{
    const double left = mean(p, from - side, from), right = mean(p, from + bar, from + bar + side);
    return mean(p, from, from + bar) - fmax(left, right);
}

bool bar_find(const struct luma *l, const struct bar_ask *ask, double *offset)
{
    struct profile p;
    const int bar = (int)fmax(2, round(ask->width * FINE)), side = bar < 3 ? 3 : bar;
    const double half = ask->reach + (bar / 2.0 + side) / FINE;
    if (!read_profile(l, ask, half, &p))
        return false;
    int best = -1;
    double most = ask->least_bright;
    for (int from = side; from + bar + side <= p.n; from++) {
        const double c = contrast(&p, from, bar, side);
        if (c > most) {
            most = c;
            best = from;
        }
    }
    if (best < 0)
        return false;
    double part = 0; /* of a sample: the top of a parabola through three contrasts */
    if (best > side && best + 1 + bar + side <= p.n) {
        const double a = contrast(&p, best - 1, bar, side), b = contrast(&p, best + 1, bar, side);
        const double bend = a - 2 * most + b;
        part = bend < 0 ? fmax(-0.5, fmin(0.5, (a - b) / (2 * bend))) : 0;
    }
    /* the bar's middle in samples from the profile's middle, which is the expected place */
    const double pixels = 2 * half / (p.n - 1);
    *offset = (best + part + (bar - 1) / 2.0 - (p.n - 1) / 2.0) * pixels;
    return true;
}
