/* The plane to plane map of spots, without a camera: what a start is made from, and what fits where a
 * phone's stabilisation bends the picture. */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit_nlinear.h>

#include "base/arena.h"
#include "field/inside.h"
#include "field/solve.h"

/* --- normalising ------------------------------------------------------------------------------ */

/* x' = scale (x - x0): centroid at 0, mean distance the square root of 2. */
struct frame {
    double x0, y0, scale;
};

struct pair {
    double from[2], to[2]; /* normalised place and pixel */
    double weight;
};

static struct frame frame_of(const struct pick *s, size_t n, bool pixels)
{
    struct frame f = {0};
    double spread = 0;
    for (size_t i = 0; i < n; i++) {
        f.x0 += (pixels ? s[i].at.x : s[i].on.x) / (double)n;
        f.y0 += (pixels ? s[i].at.y : s[i].on.y) / (double)n;
    }
    for (size_t i = 0; i < n; i++)
        spread += hypot((pixels ? s[i].at.x : s[i].on.x) - f.x0,
                        (pixels ? s[i].at.y : s[i].on.y) - f.y0) /
                  (double)n;
    f.scale = spread > 0 ? M_SQRT2 / spread : 1;
    return f;
}

static struct pair *pairs_of(const struct pick *s, size_t n, struct frame f[2])
{
    struct pair *p = xcalloc(n, sizeof *p);
    f[0] = frame_of(s, n, false);
    f[1] = frame_of(s, n, true);
    for (size_t i = 0; i < n; i++)
        p[i] =
            (struct pair){{(s[i].on.x - f[0].x0) * f[0].scale, (s[i].on.y - f[0].y0) * f[0].scale},
                          {(s[i].at.x - f[1].x0) * f[1].scale, (s[i].at.y - f[1].y0) * f[1].scale},
                          1 / s[i].sd};
    return p;
}

/* Back to places and pixels: the inverse of one frame, h, the other frame. */
static void plain(const double g[9], const struct frame f[2], double h[9])
{
    double half[9];
    for (int i = 0; i < 3; i++) { /* times the frame of the places */
        half[3 * i] = g[3 * i] * f[0].scale;
        half[3 * i + 1] = g[3 * i + 1] * f[0].scale;
        half[3 * i + 2] = g[3 * i + 2] - half[3 * i] * f[0].x0 - half[3 * i + 1] * f[0].y0;
    }
    for (int k = 0; k < 3; k++) {
        h[k] = half[k] / f[1].scale + f[1].x0 * half[6 + k];
        h[3 + k] = half[3 + k] / f[1].scale + f[1].y0 * half[6 + k];
        h[6 + k] = half[6 + k];
    }
    const double last = h[8];
    for (int k = 0; k < 9; k++)
        h[k] /= last;
}

/* --- the linear start ------------------------------------------------------------------------- */

/* The two rows of a pair in the equations that are linear in h. */
static void rows_of(const struct pair *p, double a[2][9])
{
    const double x = p->from[0], y = p->from[1];
    for (int r = 0; r < 2; r++) {
        const double u = p->to[r];
        double *row = a[r];
        for (int k = 0; k < 9; k++)
            row[k] = 0;
        row[3 * r] = x, row[3 * r + 1] = y, row[3 * r + 2] = 1;
        row[6] = -u * x, row[7] = -u * y, row[8] = -u;
    }
}

/* The right singular vector of the least singular value. */
static void dlt(const struct pair *p, size_t n, double h[9])
{
    const size_t rows = 2 * n < 9 ? 9 : 2 * n;
    gsl_matrix *a = gsl_matrix_calloc(rows, 9), *v = gsl_matrix_alloc(9, 9);
    gsl_vector *s = gsl_vector_alloc(9), *work = gsl_vector_alloc(9);
    for (size_t i = 0; i < n; i++) {
        double two[2][9];
        rows_of(&p[i], two);
        for (size_t r = 0; r < 2; r++)
            for (size_t k = 0; k < 9; k++)
                gsl_matrix_set(a, 2 * i + r, k, two[r][k] * p[i].weight);
    }
    gsl_linalg_SV_decomp(a, v, s, work);
    for (size_t k = 0; k < 9; k++)
        h[k] = gsl_matrix_get(v, k, 8);
    gsl_matrix_free(a);
    gsl_matrix_free(v);
    gsl_vector_free(s);
    gsl_vector_free(work);
}

/* --- the least misses ------------------------------------------------------------------------- */

struct pairs {
    const struct pair *at;
    size_t n;
};

static void mapped(const gsl_vector *h, const struct pair *p, double out[3])
{
    for (size_t k = 0; k < 3; k++)
        out[k] = gsl_vector_get(h, 3 * k) * p->from[0] + gsl_vector_get(h, 3 * k + 1) * p->from[1] +
                 (k < 2 ? gsl_vector_get(h, 3 * k + 2) : 1);
}

static int misses(const gsl_vector *h, void *ctx, gsl_vector *f)
{
    const struct pairs *all = ctx;
    for (size_t i = 0; i < all->n; i++) {
        double m[3];
        mapped(h, &all->at[i], m);
        for (size_t r = 0; r < 2; r++)
            gsl_vector_set(f, 2 * i + r, (m[r] / m[2] - all->at[i].to[r]) * all->at[i].weight);
    }
    return GSL_SUCCESS;
}

static int miss_slopes(const gsl_vector *h, void *ctx, gsl_matrix *j)
{
    const struct pairs *all = ctx;
    gsl_matrix_set_zero(j);
    for (size_t i = 0; i < all->n; i++) {
        const struct pair *p = &all->at[i];
        double m[3];
        mapped(h, p, m);
        for (size_t r = 0; r < 2; r++) {
            const double w = p->weight / m[2];
            for (size_t k = 0; k < 2; k++) {
                gsl_matrix_set(j, 2 * i + r, 3 * r + k, w * p->from[k]);
                gsl_matrix_set(j, 2 * i + r, 6 + k, -w * p->from[k] * m[r] / m[2]);
            }
            gsl_matrix_set(j, 2 * i + r, 3 * r + 2, w);
        }
    }
    return GSL_SUCCESS;
}

static void improve(const struct pair *p, size_t n, double h[9])
{
    struct pairs all = {p, n};
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_fdf fdf = {
        .f = misses, .df = miss_slopes, .n = 2 * n, .p = 8, .params = &all};
    gsl_multifit_nlinear_workspace *w =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, 2 * n, 8);
    gsl_vector *start = gsl_vector_alloc(8);
    int info;
    for (size_t k = 0; k < 8; k++)
        gsl_vector_set(start, k, h[k] / h[8]);
    if (gsl_multifit_nlinear_init(start, &fdf, w) == GSL_SUCCESS)
        gsl_multifit_nlinear_driver(100, 1e-14, 1e-14, 0, NULL, NULL, &info, w);
    for (size_t k = 0; k < 8; k++)
        h[k] = gsl_vector_get(gsl_multifit_nlinear_position(w), k);
    h[8] = 1;
    gsl_vector_free(start);
    gsl_multifit_nlinear_free(w);
}

bool homography_fit(const struct pick *picks, size_t n, double h[9], struct err *e)
{
    struct frame f[2];
    double g[9];
    if (!spots_suffice(picks, n, e))
        return false;
    struct pair *p = pairs_of(picks, n, f);
    dlt(p, n, g);
    improve(p, n, g);
    plain(g, f, h);
    free(p);
    for (int k = 0; k < 9; k++)
        if (!isfinite(h[k]))
            return err_set(e, ERR_INPUT,
                           "no picture of the ground looks like that; are two picks "
                           "interchanged?");
    return true;
}
