#include "field/bar.h"

#include <math.h>
#include <stdlib.h>

enum { FINE = 2, SAMPLES_MOST = 400, ROWS_MOST = 16 }; /* FINE: samples a pixel */

static const double quiet = 3; /* grey levels: more rows than one only where noise is more */
static const double above_noise = 2.0; /* sd of a contrast: one in some thousand is so by chance */

static double brighter(double a, double b)
{
    return a > b ? a : b;
}

/* sum[i]: of the samples before i */
struct profile {
    double sum[SAMPLES_MOST + 1];
    int n, rows;
};

static bool inside(const struct luma *l, double x, double y)
{
    return x >= 0.5 && y >= 0.5 && x < l->width - 1.5 && y < l->height - 1.5;
}

/* Adds a row of samples, each between four pixels; pixel (0, 0) has its middle at (0.5, 0.5). */
static bool add_row(const struct luma *l, struct pixel from, const double step[2], int n,
                    double *level)
{
    if (!inside(l, from.x, from.y) ||
        !inside(l, from.x + step[0] * (n - 1), from.y + step[1] * (n - 1)))
        return false;
    double fx = from.x - 0.5, fy = from.y - 0.5;
    for (int i = 0; i < n; i++, fx += step[0], fy += step[1]) {
        const int ix = (int)fx, iy = (int)fy;
        const double ax = fx - ix, ay = fy - iy;
        const uint8_t *p = l->at + (size_t)iy * l->stride + ix, *q = p + l->stride;
        const double upper = p[0] + ax * (p[1] - p[0]), lower = q[0] + ax * (q[1] - q[0]);
        level[i] += upper + ay * (lower - upper);
    }
    return true;
}

/* As many rows as make the noise quiet, a pixel apart at least. */
static int rows_for(const struct bar_ask *ask)
{
    const double wanted = ask->noise / quiet * (ask->noise / quiet);
    return 1 + (int)fmax(0, fmin(fmin(wanted, ask->length), ROWS_MOST) - 1);
}

static bool read_profile(const struct luma *l, const struct bar_ask *ask, double half,
                         struct profile *p)
{
    double level[SAMPLES_MOST] = {0}, sum = 0;
    p->n = 2 * (int)ceil(half * FINE) + 1;
    if (p->n > SAMPLES_MOST)
        return false;
    p->rows = rows_for(ask);
    const double step[2] = {2 * half / (p->n - 1) * ask->normal[0],
                            2 * half / (p->n - 1) * ask->normal[1]};
    for (int r = 0; r < p->rows; r++) {
        const double off = ask->length * ((r + 0.5) / p->rows - 0.5);
        const struct pixel from = {ask->at.x + off * ask->along[0] - half * ask->normal[0],
                                   ask->at.y + off * ask->along[1] - half * ask->normal[1]};
        if (!add_row(l, from, step, p->n, level))
            return false;
    }
    for (int i = 0; i < p->n; i++) {
        p->sum[i] = sum;
        sum += level[i];
    }
    p->sum[p->n] = sum;
    return true;
}

struct best {
    double at; /* samples from the profile's middle */
    double contrast;
    double doubt; /* the contrast's noise over the contrast */
};

/* A bar and its sides, in samples, and what a sum over them is multiplied with to be a mean. */
struct mask {
    int bar, side;
    double of_bar, of_side;
};

/* The bar inside less the brighter of its sides. */
static double contrast(const struct profile *p, const struct mask *m, int from)
{
    const double *s = p->sum + from;
    const double left = s[0] - s[-m->side], right = s[m->bar + m->side] - s[m->bar];
    return (s[m->bar] - s[0]) * m->of_bar - brighter(left, right) * m->of_side;
}

static struct mask mask_of(double width)
{
    const int bar = (int)brighter(2, width * FINE + 0.5), side = bar < 3 ? 3 : bar;
    return (struct mask){bar, side, 0, 0};
}

/* The best bar of one width in a profile; false: none is enough of one. */
static bool best_of(const struct profile *p, const struct bar_ask *ask, double width,
                    struct best *out)
{
    struct mask m = mask_of(width);
    m.of_bar = 1.0 / (m.bar * p->rows);
    m.of_side = 1.0 / (m.side * p->rows);
    const double noise = ask->noise * sqrt(FINE * (m.of_bar + m.of_side));
    int best = -1;
    double most = brighter(ask->least_bright, above_noise * noise);
    for (int from = m.side; from + m.bar + m.side <= p->n; from++) {
        const double c = contrast(p, &m, from);
        if (c > most) {
            most = c;
            best = from;
        }
    }
    if (best < 0)
        return false;
    double part = 0; /* of a sample: the top of a parabola through three contrasts */
    if (best > m.side && best + 1 + m.bar + m.side <= p->n) {
        const double a = contrast(p, &m, best - 1), b = contrast(p, &m, best + 1);
        const double bend = a - 2 * most + b;
        part = bend < 0 ? fmax(-0.5, fmin(0.5, (a - b) / (2 * bend))) : 0;
    }
    /* the bar's middle in samples from the profile's middle, which is the expected place */
    *out = (struct best){best + part + (m.bar - 1) / 2.0 - (p->n - 1) / 2.0, most, noise / most};
    return true;
}

/* A blurred line is broader than its paint: where there is noise, what is sure is better than what is
 * sharp. */
bool bar_find(const struct luma *l, const struct bar_ask *ask, struct bar *out)
{
    static const double blurred = 3.5; /* pixels */
    const bool broad = ask->noise > 2.5 * quiet && ask->width < blurred;
    const struct mask most = mask_of(broad ? blurred : ask->width);
    const double half = ask->reach + (most.bar / 2.0 + most.side) / FINE;
    struct profile p;
    struct best one, other;
    if (!read_profile(l, ask, half, &p))
        return false;
    bool ok = best_of(&p, ask, ask->width, &one);
    if (broad && best_of(&p, ask, blurred, &other) && (!ok || other.doubt < one.doubt)) {
        one = other;
        ok = true;
    }
    const double pixels = 2 * half / (p.n - 1);
    if (ok)
        *out = (struct bar){one.at * pixels, one.contrast, one.doubt * fmax(1, ask->width / 2)};
    return ok;
}

/* --- noise -------------------------------------------------------------------------------------- */

double luma_noise(const struct luma *l)
{
    enum { ROWS = 60, APART = 7, LEVELS = 1024 };
    size_t count[LEVELS] = {0}, n = 0, below = 0;
    for (int i = 0; i < ROWS; i++) {
        const uint8_t *row = l->at + (size_t)(l->height * (2 * i + 1) / (2 * ROWS)) * l->stride;
        for (int x = 1; x + 1 < l->width; x += APART, n++)
            count[abs(2 * row[x] - row[x - 1] - row[x + 1])]++;
    }
    int median = 0;
    while (median < LEVELS - 1 && (below += count[median]) * 2 < n)
        median++;
    /* the median of |v - (left + right)/2| doubled, of a normal law, is 0.6745 sqrt(6) sd */
    return fmax(0, median - 0.5) / (0.6745 * sqrt(6));
}
