#include "field/shape.h"

#include <math.h>

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>

static struct field_place middle(const struct field_place *p, size_t n)
{
    struct field_place m = {0, 0};
    for (size_t i = 0; i < n; i++) {
        m.x += p[i].x / (double)n;
        m.y += p[i].y / (double)n;
    }
    return m;
}

/* --- lines ------------------------------------------------------------------------------------- */

bool shape_line(const struct field_place *p, size_t n, struct shape_line *out, struct err *e)
{
    double xx = 0, xy = 0, yy = 0;
    if (n < 2)
        return err_set(e, ERR_INPUT, "%zu point%s; a line needs two", n, n == 1 ? "" : "s");
    *out = (struct shape_line){.through = middle(p, n)};
    for (size_t i = 0; i < n; i++) {
        const double x = p[i].x - out->through.x, y = p[i].y - out->through.y;
        xx += x * x, xy += x * y, yy += y * y;
    }
    if (!(xx + yy > 0) || !isfinite(xx + yy))
        return err_set(e, ERR_INPUT, "all points are in one place; a line needs two");
    out->angle = atan2(2 * xy, xx - yy) / 2;
    for (size_t i = 0; i < n; i++)
        out->squares += pow(shape_off_line(out, p[i]), 2);
    return true;
}

double shape_off_line(const struct shape_line *l, struct field_place p)
{
    return (p.y - l->through.y) * cos(l->angle) - (p.x - l->through.x) * sin(l->angle);
}

/* --- arcs -------------------------------------------------------------------------------------- */

/* Points about their middle, in a unit of their own spread. */
struct points {
    const struct field_place *at;
    size_t n;
    struct field_place middle;
    double unit;
};

static struct field_place unit_point(const struct points *p, size_t i)
{
    return (struct field_place){(p->at[i].x - p->middle.x) / p->unit,
                                (p->at[i].y - p->middle.y) / p->unit};
}

/* Taubin's fit by Newton from 0 on the characteristic polynomial of its moments (Chernov, "Circular
 * and Linear Regression", 2010, section 5.10; from memory). */
static bool taubin(const struct points *p, double out[3])
{
    double xx = 0, yy = 0, xy = 0, xz = 0, yz = 0, zz = 0;
    const double n = (double)p->n;
    for (size_t i = 0; i < p->n; i++) {
        const struct field_place q = unit_point(p, i);
        const double z = q.x * q.x + q.y * q.y;
        xx += q.x * q.x / n, yy += q.y * q.y / n, xy += q.x * q.y / n;
        xz += q.x * z / n, yz += q.y * z / n, zz += z * z / n;
    }
    const double z = xx + yy, cov = xx * yy - xy * xy, var = zz - z * z;
    const double a3 = 4 * z, a2 = -3 * z * z - zz, a1 = var * z + 4 * cov * z - xz * xz - yz * yz;
    const double a0 = xz * (xz * yy - yz * xy) + yz * (yz * xx - xz * xy) - var * cov;
    double x = 0, y = a0;
    for (int i = 0; i < 100; i++) {
        const double slope = a1 + x * (2 * a2 + 3 * a3 * x), next = x - y / slope;
        const double value = a0 + next * (a1 + next * (a2 + next * a3));
        if (!isfinite(next) || fabs(value) >= fabs(y))
            break;
        x = next, y = value;
    }
    const double det = x * x - x * z + cov;
    out[0] = (xz * (yy - x) - yz * xy) / det / 2;
    out[1] = (yz * (xx - x) - xz * xy) / det / 2;
    out[2] = sqrt(out[0] * out[0] + out[1] * out[1] + z);
    return isfinite(out[0]) && isfinite(out[1]) && isfinite(out[2]);
}

static int misses(const gsl_vector *c, void *ctx, gsl_vector *f)
{
    const struct points *p = ctx;
    for (size_t i = 0; i < p->n; i++) {
        const struct field_place q = unit_point(p, i);
        gsl_vector_set(f, i,
                       hypot(q.x - gsl_vector_get(c, 0), q.y - gsl_vector_get(c, 1)) -
                           gsl_vector_get(c, 2));
    }
    return GSL_SUCCESS;
}

static int slopes(const gsl_vector *c, void *ctx, gsl_matrix *j)
{
    const struct points *p = ctx;
    for (size_t i = 0; i < p->n; i++) {
        const struct field_place q = unit_point(p, i);
        const double x = gsl_vector_get(c, 0) - q.x, y = gsl_vector_get(c, 1) - q.y;
        const double r = hypot(x, y);
        gsl_matrix_set(j, i, 0, r > 0 ? x / r : 0);
        gsl_matrix_set(j, i, 1, r > 0 ? y / r : 0);
        gsl_matrix_set(j, i, 2, -1);
    }
    return GSL_SUCCESS;
}

static void improve(struct points *p, double c[3])
{
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_fdf fdf = {.f = misses, .df = slopes, .n = p->n, .p = 3, .params = p};
    gsl_multifit_nlinear_workspace *w =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, p->n, 3);
    gsl_vector_view start = gsl_vector_view_array(c, 3);
    int info;
    if (gsl_multifit_nlinear_init(&start.vector, &fdf, w) == GSL_SUCCESS)
        gsl_multifit_nlinear_driver(500, 1e-14, 1e-14, 0, NULL, NULL, &info, w);
    for (size_t k = 0; k < 3; k++)
        c[k] = gsl_vector_get(gsl_multifit_nlinear_position(w), k);
    gsl_multifit_nlinear_free(w);
}

bool shape_arc(const struct field_place *p, size_t n, struct shape_arc *out, struct err *e)
{
    static const double straight = 1e-9, longest = 1e4; /* of the points' spread */
    struct shape_line line;
    struct points all = {.at = p, .n = n};
    double c[3];
    if (n < 3)
        return err_set(e, ERR_INPUT, "%zu point%s; an arc needs three", n, n == 1 ? "" : "s");
    if (!shape_line(p, n, &line, e))
        return false;
    all.middle = line.through;
    for (size_t i = 0; i < n; i++)
        all.unit += hypot(p[i].x - all.middle.x, p[i].y - all.middle.y) / (double)n;
    bool ok = line.squares > straight * all.unit * all.unit && taubin(&all, c);
    if (ok)
        improve(&all, c);
    if (!ok || !isfinite(c[0] + c[1] + c[2]) || fabs(c[2]) > longest)
        return err_set(e, ERR_INPUT, "the points lie in a line; fit a line");
    *out = (struct shape_arc){
        {c[0] * all.unit + all.middle.x, c[1] * all.unit + all.middle.y}, fabs(c[2]) * all.unit, 0};
    for (size_t i = 0; i < n; i++)
        out->squares += pow(shape_off_arc(out, p[i]), 2);
    return true;
}

double shape_off_arc(const struct shape_arc *a, struct field_place p)
{
    return hypot(p.x - a->center.x, p.y - a->center.y) - a->radius;
}
