#include "field/bend.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "field/bar.h"
#include "field/normal.h"
#include "field/pieces.h"

static const double met = 0.18;        /* pixels; what is met so well is not bent */
static const double much_better = 0.7; /* of the median miss */
static const double by_chance = 0.001;
static const double usual = 0.02; /* sd of each of the numbers before anything is measured */

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The median of the misses, of which there are some. */
static double median_miss(const struct pieces *p)
{
    double *all = xcalloc(p->n + 1, sizeof *all);
    for (size_t i = 0; i < p->n; i++)
        all[i] = fabs(p->at[i].miss);
    qsort(all, p->n, sizeof *all, by_size);
    const double m = all[p->n / 2];
    free(all);
    return m;
}

static size_t stretches(const struct pieces *p)
{
    size_t n = p->n > 0;
    for (size_t i = 1; i < p->n; i++)
        n += p->at[i].stretch != p->at[i - 1].stretch;
    return n;
}

/* How a bent pixel moves with each of the numbers, where it is by now. */
static void slopes_of(const struct camera *c, struct pixel at, double out[2][BENDS])
{
    struct pixel flat;
    const double half = c->width / 2, *b = c->bend;
    memset(out, 0, 2 * sizeof *out);
    if (!camera_unbent(c, at, &flat))
        return;
    const double u = (flat.x - half) / half, v = (flat.y - c->height / 2) / half;
    const double x = (at.x - half) / half, y = (at.y - c->height / 2) / half;
    const double w = half / (1 + b[6] * u + b[7] * v), in[3] = {u, v, 1};
    for (int k = 0; k < 3; k++) {
        out[0][k] = w * in[k];
        out[1][3 + k] = w * in[k];
    }
    for (int k = 0; k < 2; k++) {
        out[0][6 + k] = -w * x * in[k];
        out[1][6 + k] = -w * y * in[k];
    }
}

/* Tukey's biweight of a miss in units of the scale. */
static double weight_of(double miss, double scale)
{
    static const double cut = 4.685;
    const double r = miss / (cut * scale);
    return fabs(r) < 1 ? (1 - r * r) * (1 - r * r) : 0;
}

/* One step of the least squares about where the numbers are. */
static bool step(const struct pieces *p, struct camera *c)
{
    static const double to_sd = 1.4826, least = 0.05;
    const double scale = fmax(least, to_sd * median_miss(p));
    double a[BENDS][BENDS] = {{0}}, r[BENDS] = {0};
    for (int k = 0; k < BENDS; k++) {
        a[k][k] = scale * scale / (usual * usual);
        r[k] = -a[k][k] * c->bend[k];
    }
    for (size_t i = 0; i < p->n; i++) {
        const struct piece *one = &p->at[i];
        const double w = weight_of(one->miss, scale);
        double by[2][BENDS], s[BENDS];
        slopes_of(c, one->at, by);
        for (int k = 0; k < BENDS; k++)
            s[k] = one->normal[0] * by[0][k] + one->normal[1] * by[1][k];
        for (int k = 0; k < BENDS; k++) {
            r[k] += w * s[k] * one->miss;
            for (int q = 0; q < BENDS; q++)
                a[k][q] += w * s[k] * s[q];
        }
    }
    static const bool all[BENDS] = {true, true, true, true, true, true, true, true};
    double move[BENDS];
    const struct normal s = {.n = BENDS, .information = &a[0][0], .wish = r, .free = all};
    if (!normal_move(&s, move))
        return false;
    for (int k = 0; k < BENDS; k++)
        c->bend[k] += move[k];
    return true;
}

/* Is that more than chance? */
static bool explains(double before, double after, size_t measurements)
{
    if (measurements <= BENDS + 1 || !(after < much_better * before))
        return false;
    const double rest = (double)measurements - BENDS;
    const double f = (before * before - after * after) / BENDS / (after * after / rest);
    return gsl_cdf_fdist_Q(f, BENDS, rest) < by_chance;
}

bool bend_fit(const struct lock_ask *ask, struct lock_fit *fit)
{
    enum { ROUNDS = 3 };
    if (fit->rms_px < met)
        return false;
    const double noise = luma_noise(ask->picture);
    const struct look how = {ask->picture, ask->paint, noise, ask->reach, look_step(noise)};
    struct camera c = fit->camera;
    struct pieces p = {0};
    memset(c.bend, 0, sizeof c.bend);
    pieces_look(&how, &c, &p);
    const double before = p.n ? median_miss(&p) : 0;
    bool ok = p.n > BENDS;
    for (int i = 0; ok && i < ROUNDS; i++) {
        ok = step(&p, &c);
        pieces_look(&how, &c, &p);
        ok = ok && p.n > BENDS;
    }
    const double after = ok ? median_miss(&p) : 0;
    ok = ok && explains(before, after, stretches(&p));
    pieces_free(&p);
    if (!ok)
        return false;
    memcpy(fit->camera.bend, c.bend, sizeof c.bend);
    fit->rms_px *= after / before;
    return true;
}
