/* Each beat moved onto the curve through the onsets around it. */
#include "count/beats_inner.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_multifit.h>
#include <gsl/gsl_statistics_double.h>

enum { AROUND = 8, MOST = 2 * AROUND + 1, TERMS = 3 };
/* A beat takes an onset within reach; it was heard when that lies on the line after all. */
static const double reach_beats = 0.1, on_line_beats = 0.07;
/* F of one term over the rest that speaks for a bend: 0.5 % of straight ones exceed it (F(1, 14),
 * R 4.2.2 qf gives 11.06). */
static const double bends = 11;
static const double clearly_weaker = 0.48;
/* Soft strokes between loud ones are there nearly always; long notes only leave beats out. */
static const double mostly_heard = 0.8;

/* The strongest onset, less the further off, within reach of u; false when there is none. */
static bool onset_near(const struct hits *h, double u, double reach, double *at, double *weight)
{
    size_t lo = 0, hi = h->n;
    while (lo < hi) {
        const size_t mid = lo + (hi - lo) / 2;
        if (h->u[mid] < u - reach)
            lo = mid + 1;
        else
            hi = mid;
    }
    double best = 0;
    for (size_t i = lo; i < h->n && h->u[i] <= u + reach; i++) {
        const double x = (h->u[i] - u) / reach, value = h->weight[i] * (1 - 0.7 * fabs(x));
        if (value <= best)
            continue;
        best = value;
        *at = h->u[i];
        *weight = h->weight[i];
    }
    return best > 0;
}

/* The onsets of the beats around one, and a curve through them. */
struct curve {
    gsl_multifit_linear_workspace *work;
    gsl_matrix *x, *cov;
    gsl_vector *y, *w, *c;
    double own[MOST]; /* weight of a point before it is doubted */
};

static struct curve curve_make(void)
{
    return (struct curve){
        .work = gsl_multifit_linear_alloc(MOST, TERMS),
        .x = gsl_matrix_alloc(MOST, TERMS),
        .cov = gsl_matrix_alloc(TERMS, TERMS),
        .y = gsl_vector_alloc(MOST),
        .w = gsl_vector_alloc(MOST),
        .c = gsl_vector_alloc(TERMS),
    };
}

static void curve_free(struct curve *q)
{
    gsl_multifit_linear_free(q->work);
    gsl_matrix_free(q->x);
    gsl_matrix_free(q->cov);
    gsl_vector_free(q->y);
    gsl_vector_free(q->w);
    gsl_vector_free(q->c);
}

/* The points of the beats around beat i that were heard; nearer ones count more (tricube). */
static size_t gather(struct curve *q, const struct fine *f, const double *at, const double *weight,
                     size_t n, size_t i)
{
    const size_t lo = i > AROUND ? i - AROUND : 0, hi = i + AROUND < n ? i + AROUND : n - 1;
    size_t k = 0;
    for (size_t j = lo; j <= hi; j++) {
        const double x = (double)j - (double)i, far = fabs(x) / (AROUND + 1);
        if (!f[j].heard)
            continue;
        gsl_matrix_set(q->x, k, 0, 1);
        gsl_matrix_set(q->x, k, 1, x);
        gsl_matrix_set(q->x, k, 2, x * x);
        gsl_vector_set(q->y, k, at[j]);
        q->own[k++] = weight[j] * pow(1 - far * far * far, 3);
    }
    return k;
}

/* Least squares with the weights at hand; terms 2: a line, 3: a parabola. Returns chi squared. */
static double fit(struct curve *q, size_t n, size_t terms)
{
    double chisq;
    gsl_matrix_view x = gsl_matrix_submatrix(q->x, 0, 0, n, terms),
                    cov = gsl_matrix_submatrix(q->cov, 0, 0, terms, terms);
    gsl_vector_view y = gsl_vector_subvector(q->y, 0, n), w = gsl_vector_subvector(q->w, 0, n),
                    c = gsl_vector_subvector(q->c, 0, terms);
    gsl_vector_set(q->c, 2, 0);
    gsl_multifit_wlinear(&x.matrix, &w.vector, &y.vector, &c.vector, &cov.matrix, &chisq, q->work);
    return chisq;
}

/* Doubts far points: bisquare weights, the scatter taken as 1.4826 times the median distance. */
static void doubt(struct curve *q, size_t n)
{
    double off[MOST], sorted[MOST];
    for (size_t i = 0; i < n; i++) {
        const double k = gsl_matrix_get(q->x, i, 1);
        off[i] = fabs(gsl_vector_get(q->y, i) - gsl_vector_get(q->c, 0) -
                      k * (gsl_vector_get(q->c, 1) + k * gsl_vector_get(q->c, 2)));
        sorted[i] = off[i];
    }
    const double cut = 4.685 * fmax(1.4826 * gsl_stats_median(sorted, 1, n), 0.003);
    for (size_t i = 0; i < n; i++) {
        const double r = fmin(off[i] / cut, 1);
        gsl_vector_set(q->w, i, fmax(q->own[i] * (1 - r * r) * (1 - r * r), 1e-9));
    }
}

/* A line through the gathered points; a parabola when it is better beyond chance (F test), since a
 * ramp bends time. */
static bool best_curve(struct curve *q, size_t n)
{
    if (n < 2 * TERMS)
        return false;
    for (size_t i = 0; i < n; i++)
        gsl_vector_set(q->w, i, q->own[i]);
    for (int round = 0; round < 3; round++) {
        fit(q, n, 3);
        doubt(q, n);
    }
    const double bent = fit(q, n, 3), straight = fit(q, n, 2);
    if (straight - bent > bends * bent / (double)(n - TERMS))
        fit(q, n, 3);
    return true;
}

void beats_refine(const struct hits *h, const double *u, size_t n, struct fine *out)
{
    double *at = xcalloc(2 * n, sizeof *at), *weight = at + n;
    struct curve q = curve_make();
    for (size_t i = 0; i < n; i++)
        out[i].heard = onset_near(h, u[i], reach_beats, &at[i], &weight[i]);
    for (size_t i = 0; i < n; i++) {
        const bool fitted = best_curve(&q, gather(&q, out, at, weight, n, i));
        out[i].u = fitted ? gsl_vector_get(q.c, 0) : u[i];
        out[i].slope = fitted ? gsl_vector_get(q.c, 1) : i > 0 ? u[i] - u[i - 1] : 1;
    }
    for (size_t i = 0; i < n; i++) {
        out[i].off = out[i].heard ? at[i] - out[i].u : NAN;
        out[i].heard = out[i].heard && fabs(at[i] - out[i].u) < on_line_beats;
        out[i].weight = out[i].heard ? weight[i] : 0;
    }
    curve_free(&q);
    free(at);
}

size_t beats_thin_out(const struct fine *f, double *look, size_t n)
{
    double sum[2] = {0, 0}, heard[2] = {0, 0};
    size_t kept = 0;
    for (size_t i = 0; i < n / 2 * 2; i++) {
        sum[i % 2] += f[i].weight;
        heard[i % 2] += f[i].heard;
    }
    const size_t weak = sum[1] < sum[0];
    const bool there = heard[weak] > mostly_heard * (double)(n / 2);
    if (n < 4 || !there || sum[weak] > clearly_weaker * sum[!weak])
        return n;
    for (size_t i = !weak; i < n; i += 2)
        look[kept++] = look[i];
    return kept;
}
