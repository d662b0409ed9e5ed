#include "field/inside.h"
#include "field/solve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>

#include "base/arena.h"

/* A problem in the hands of GSL: the free parameters, each in a unit of its own, so that a step of
 * one is about a pixel's. */
struct problem {
    const struct camera_ask *ask;
    struct camera camera; /* with the parameters that are not free */
    int free[CAMERA_PARAMETERS], n_free;
    size_t rows;
};

static const double unit[CAMERA_PARAMETERS] = {12, 12, 12, 1e-3, 1e-3, 1e-3, 1, 1e-3, 1};

/* A miss beyond this counts as so much: a camera that a step made turn away sees nothing. */
static const double unseen = 1e5;

/* --- one pick --------------------------------------------------------------------------------- */

/* A pixel on a line: the place of the line that is nearest to where the camera has the pixel, how
 * far off it is seen, and across the line's picture. */
struct across {
    struct field_place foot;
    double normal[2];
};

static bool across_of(const struct camera *c, const struct pick *s, struct across *out,
                      struct pixel *seen, struct camera_slope *slope)
{
    struct camera_slope own;
    struct field_place at;
    if (!camera_place(c, s->at, &at))
        return false;
    const bool yard = s->kind == PICK_YARD_LINE;
    out->foot = yard ? (struct field_place){s->on.x, at.y} : (struct field_place){at.x, s->on.y};
    if (!camera_sees(c, out->foot, seen, &own))
        return false;
    const double along[2] = {own.by_place[0][yard], own.by_place[1][yard]};
    const double length = hypot(along[0], along[1]);
    if (!(length > 0))
        return false;
    out->normal[0] = -along[1] / length;
    out->normal[1] = along[0] / length;
    if (slope)
        *slope = own;
    return true;
}

/* A line's foot slides along the line, which the normal does not see. */
int pick_row(const struct camera *c, const struct pick *s, double miss[2],
             double slope[2][CAMERA_PARAMETERS])
{
    struct camera_slope own;
    struct across a;
    struct pixel p;
    if (s->kind == PICK_SPOT) {
        if (!camera_sees(c, s->on, &p, &own))
            return 0;
        miss[0] = p.x - s->at.x;
        miss[1] = p.y - s->at.y;
        memcpy(slope, own.by_camera, sizeof own.by_camera);
        return 2;
    }
    if (!across_of(c, s, &a, &p, &own))
        return 0;
    miss[0] = (p.x - s->at.x) * a.normal[0] + (p.y - s->at.y) * a.normal[1];
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        slope[0][i] = own.by_camera[0][i] * a.normal[0] + own.by_camera[1][i] * a.normal[1];
    return 1;
}

int pick_miss(const struct camera *c, const struct pick *s, double out[2])
{
    double slope[2][CAMERA_PARAMETERS];
    return pick_row(c, s, out, slope);
}

static int rows_of(const struct pick *s)
{
    return s->kind == PICK_SPOT ? 2 : 1;
}

/* --- the problem ------------------------------------------------------------------------------ */

static struct camera camera_at(const struct problem *p, const gsl_vector *x)
{
    struct camera c = p->camera;
    for (int k = 0; k < p->n_free; k++)
        c.p[p->free[k]] = gsl_vector_get(x, (size_t)k) * unit[p->free[k]];
    return c;
}

static int misses(const gsl_vector *x, void *ctx, gsl_vector *f)
{
    const struct problem *p = ctx;
    const struct camera c = camera_at(p, x);
    size_t row = 0;
    for (size_t i = 0; i < p->ask->n; i++) {
        const struct pick *s = &p->ask->picks[i];
        double miss[2] = {unseen, unseen};
        pick_miss(&c, s, miss);
        for (int k = 0; k < rows_of(s); k++)
            gsl_vector_set(f, row++, miss[k] / s->sd);
    }
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        if (p->ask->free[i] && p->ask->prior[i].sd > 0)
            gsl_vector_set(f, row++, (c.p[i] - p->ask->prior[i].mean) / p->ask->prior[i].sd);
    return GSL_SUCCESS;
}

static int miss_slopes(const gsl_vector *x, void *ctx, gsl_matrix *j)
{
    const struct problem *p = ctx;
    const struct camera c = camera_at(p, x);
    size_t row = 0;
    gsl_matrix_set_zero(j);
    for (size_t i = 0; i < p->ask->n; i++) {
        const struct pick *s = &p->ask->picks[i];
        double slope[2][CAMERA_PARAMETERS] = {{0}}, miss[2];
        pick_row(&c, s, miss, slope);
        for (int k = 0; k < rows_of(s); k++, row++)
            for (int f = 0; f < p->n_free; f++)
                gsl_matrix_set(j, row, (size_t)f, slope[k][p->free[f]] * unit[p->free[f]] / s->sd);
    }
    for (int f = 0; f < p->n_free; f++) {
        const struct prior *known = &p->ask->prior[p->free[f]];
        if (known->sd > 0)
            gsl_matrix_set(j, row++, (size_t)f, unit[p->free[f]] / known->sd);
    }
    return GSL_SUCCESS;
}

static void set_up(struct problem *p, const struct camera_ask *ask, const struct camera *start)
{
    *p = (struct problem){.ask = ask, .camera = *start};
    for (size_t i = 0; i < ask->n; i++)
        p->rows += (size_t)rows_of(&ask->picks[i]);
    for (int i = 0; i < CAMERA_PARAMETERS; i++) {
        if (!ask->free[i])
            continue;
        p->free[p->n_free++] = i;
        p->rows += ask->prior[i].sd > 0;
    }
}

/* --- what comes out --------------------------------------------------------------------------- */

static bool take(const struct problem *p, gsl_multifit_nlinear_workspace *w, struct camera_fit *out)
{
    const size_t n = (size_t)p->n_free;
    gsl_matrix *cov = gsl_matrix_alloc(n, n);
    gsl_vector *f = gsl_multifit_nlinear_residual(w);
    double squares = 0;
    bool sound = gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(w), 0, cov) == GSL_SUCCESS;
    *out = (struct camera_fit){.camera = camera_at(p, gsl_multifit_nlinear_position(w)),
                               .freedom = (int)p->rows - p->n_free};
    gsl_blas_ddot(f, f, &out->chi2);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++) {
            const double x = gsl_matrix_get(cov, i, k);
            out->cov[p->free[i]][p->free[k]] = x * unit[p->free[i]] * unit[p->free[k]];
            sound = sound && isfinite(x) && (i != k || x > 0);
        }
    for (size_t i = 0; i < p->ask->n; i++) {
        double miss[2] = {0, 0};
        sound = pick_miss(&out->camera, &p->ask->picks[i], miss) > 0 && sound;
        squares += miss[0] * miss[0] + miss[1] * miss[1];
    }
    out->rms_px = sqrt(squares / (double)p->ask->n);
    gsl_matrix_free(cov);
    return sound;
}

bool camera_improve(const struct camera_ask *ask, const struct camera *start,
                    struct camera_fit *out, struct err *e)
{
    enum { ROUNDS = 200 };
    struct problem p;
    set_up(&p, ask, start);
    if (p.n_free == 0 || p.rows < (size_t)p.n_free)
        return err_set(e, ERR_INPUT, "%zu picks say less than the camera has unknowns (%d)", ask->n,
                       p.n_free);
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_fdf fdf = {
        .f = misses, .df = miss_slopes, .n = p.rows, .p = (size_t)p.n_free, .params = &p};
    gsl_multifit_nlinear_workspace *w =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, p.rows, (size_t)p.n_free);
    gsl_vector *x = gsl_vector_alloc((size_t)p.n_free);
    int info;
    for (int k = 0; k < p.n_free; k++)
        gsl_vector_set(x, (size_t)k, start->p[p.free[k]] / unit[p.free[k]]);
    bool ok = gsl_multifit_nlinear_init(x, &fdf, w) == GSL_SUCCESS;
    if (ok)
        gsl_multifit_nlinear_driver(ROUNDS, 1e-12, 1e-12, 0, NULL, NULL, &info, w);
    ok = ok && take(&p, w, out);
    gsl_vector_free(x);
    gsl_multifit_nlinear_free(w);
    return ok || err_set(e, ERR_INPUT,
                         "no camera shows the field like that; take off the pick that "
                         "is wrong, or add one");
}
