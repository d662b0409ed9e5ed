#include "field/residual.h"

#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/shape_most.h"

static const double normal_95 = 1.959963984540054, two_95 = 5.991464547107979;
enum { COLUMNS_MOST = 3, TO_SPARE = 5 };

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* --- the fit ------------------------------------------------------------------------------------- */

struct fitting {
    const struct measured *m;
    struct shape_fit *out;
    bool *in; /* takes part */
    struct field_place *some;
    double *sizes;
    struct field_place *normal; /* off the shape, unit */
};

static bool fit_some(struct fitting *f, struct err *e)
{
    size_t n = 0;
    for (size_t i = 0; i < f->m->n; i++)
        if (f->in[i])
            f->some[n++] = f->m->at[i];
    return f->out->arc ? shape_arc(f->some, n, &f->out->circle, e)
                       : shape_line(f->some, n, &f->out->line, e);
}

static double off_by(const struct fitting *f, size_t i)
{
    return f->out->arc ? shape_off_arc(&f->out->circle, f->m->at[i])
                       : shape_off_line(&f->out->line, f->m->at[i]);
}

/* Those who are off by much more than the others are, and than the clicks may be (Rousseeuw & Leroy,
 * "Robust Regression and Outlier Detection", 1987: 2.5 of a scale that is wider for few; from memory),
 * so that a line that bows is not said to have one who is off. True when that changed who takes part. */
static bool leave_out(struct fitting *f)
{
    static const double often = 2.5, to_sd = 1.4826, least = 6; /* inches: nobody's business */
    const size_t n = f->m->n;
    const double few = 1 + 5 / ((double)n - (f->out->arc ? 3 : 2));
    bool changed = false;
    for (size_t i = 0; i < n; i++)
        f->sizes[i] = fabs(off_by(f, i));
    qsort(f->sizes, n, sizeof *f->sizes, by_size);
    /* never more than a third: the limit is no lower than what two thirds are off */
    const double scale = often * few * to_sd * f->sizes[n / 2];
    const double limit = fmax(fmax(scale, f->sizes[shape_belong(n)]), least);
    for (size_t i = 0; i < n; i++) {
        const double clicks = often / normal_95 * f->out->at[i].error;
        const bool in = fabs(off_by(f, i)) <= fmax(limit, clicks);
        changed |= in != f->in[i];
        f->in[i] = in;
    }
    return changed;
}

/* Who stands far off bends a shape fitted through all, so that he seems to belong: the start is what
 * most stand on. */
static void start(struct arena *a, struct fitting *f)
{
    const struct measured *m = f->m;
    for (size_t i = 0; i < m->n; i++)
        f->in[i] = true;
    if (m->n < TO_SPARE || !(f->out->arc ? shape_arc_most(a, m->at, m->n, &f->out->circle)
                                         : shape_line_most(a, m->at, m->n, &f->out->line)))
        return;
    leave_out(f);
}

/* --- errors -------------------------------------------------------------------------------------- */

/* How the fit answers to click k being off along its normal: a row of the design. */
static size_t design(const struct fitting *f, size_t k, double row[COLUMNS_MOST])
{
    const struct shape_line *l = &f->out->line;
    if (f->out->arc) {
        row[0] = f->normal[k].x, row[1] = f->normal[k].y, row[2] = 1;
        return 3;
    }
    row[0] = 1;
    row[1] = ((f->m->at[k].x - l->through.x) * cos(l->angle) +
              (f->m->at[k].y - l->through.y) * sin(l->angle)) /
             100;
    return 2;
}

/* Covariance of what clicks i and k are off along their normals. */
static double cov_of(const struct fitting *f, size_t i, size_t k)
{
    const size_t n2 = 2 * f->m->n;
    const double *c = f->m->cov;
    const struct field_place a = f->normal[i], b = f->normal[k];
    return a.x * (c[2 * i * n2 + 2 * k] * b.x + c[2 * i * n2 + 2 * k + 1] * b.y) +
           a.y * (c[(2 * i + 1) * n2 + 2 * k] * b.x + c[(2 * i + 1) * n2 + 2 * k + 1] * b.y);
}

/* The residuals are linear in what the clicks are off: r = (1 - D (D'D)^-1 D') d, D of those who take
 * part. Row i of that matrix. */
static void answer(const struct fitting *f, size_t i, const gsl_matrix *inverse, double *row)
{
    double mine[COLUMNS_MOST], other[COLUMNS_MOST];
    const size_t cols = design(f, i, mine);
    for (size_t k = 0; k < f->m->n; k++) {
        double sum = 0;
        design(f, k, other);
        for (size_t a = 0; a < cols; a++)
            for (size_t b = 0; b < cols; b++)
                sum += mine[a] * gsl_matrix_get(inverse, a, b) * other[b];
        row[k] = (k == i) - (f->in[k] ? sum : 0);
    }
}

static bool inverse_of(const struct fitting *f, gsl_matrix *m)
{
    double row[COLUMNS_MOST];
    gsl_matrix_set_zero(m);
    for (size_t k = 0; k < f->m->n; k++) {
        const size_t cols = design(f, k, row);
        for (size_t a = 0; f->in[k] && a < cols; a++)
            for (size_t b = 0; b < cols; b++)
                gsl_matrix_set(m, a, b, gsl_matrix_get(m, a, b) + row[a] * row[b]);
    }
    for (size_t a = 0; a < m->size1;
         a++) /* three in an arc, two in a line: nothing is left to say */
        gsl_matrix_set(m, a, a, gsl_matrix_get(m, a, a) + 1e-9);
    gsl_error_handler_t *was = gsl_set_error_handler_off();
    const bool ok = gsl_linalg_cholesky_decomp1(m) == 0 && gsl_linalg_cholesky_invert(m) == 0;
    gsl_set_error_handler(was);
    return ok;
}

static void errors(struct arena *a, struct fitting *f)
{
    const size_t n = f->m->n;
    double *row = arena_alloc(a, n * sizeof *row);
    gsl_matrix *inverse = gsl_matrix_alloc(f->out->arc ? 3 : 2, f->out->arc ? 3 : 2);
    const bool known = inverse_of(f, inverse);
    for (size_t i = 0; known && i < n; i++) {
        double v = 0;
        answer(f, i, inverse, row);
        for (size_t p = 0; p < n; p++)
            for (size_t q = 0; q < n; q++)
                v += row[p] * row[q] * cov_of(f, p, q);
        f->out->at[i].error = normal_95 * sqrt(fmax(0, v));
    }
    gsl_matrix_free(inverse);
}

/* --- all of it ----------------------------------------------------------------------------------- */

static void look(struct fitting *f)
{
    struct shape_fit *out = f->out;
    double squares = 0;
    for (size_t i = 0; i < f->m->n; i++) {
        const double off = off_by(f, i);
        struct field_place n = {-sin(out->line.angle), cos(out->line.angle)};
        if (out->arc) {
            const double x = f->m->at[i].x - out->circle.center.x,
                         y = f->m->at[i].y - out->circle.center.y, far = hypot(x, y);
            n = far > 0 ? (struct field_place){x / far, y / far} : (struct field_place){1, 0};
        }
        f->normal[i] = n;
        out->at[i].off = (struct field_place){n.x * off, n.y * off};
        out->at[i].inches = fabs(off);
        squares += off * off;
    }
    out->rms = sqrt(squares / (double)f->m->n);
}

bool shape_through(struct arena *a, const struct measured *m, bool arc, struct shape_fit *out,
                   struct err *e)
{
    enum { ROUNDS = 10 };
    const size_t n = m->n;
    struct fitting f = {.m = m,
                        .out = out,
                        .in = arena_alloc(a, (n + 1) * sizeof *f.in),
                        .some = arena_alloc(a, (n + 1) * sizeof *f.some),
                        .sizes = arena_alloc(a, (n + 1) * sizeof *f.sizes),
                        .normal = arena_alloc(a, (n + 1) * sizeof *f.normal)};
    *out = (struct shape_fit){.arc = arc, .n = n, .at = arena_alloc(a, (n + 1) * sizeof *out->at)};
    memset(out->at, 0, (n + 1) * sizeof *out->at);
    start(a, &f);
    for (int round = 0; round < ROUNDS; round++) {
        if (!fit_some(&f, e))
            return false;
        look(&f);
        errors(a, &f);
        if (n < TO_SPARE || !leave_out(&f))
            break;
    }
    return true;
}

struct ellipse measure_middle(const struct measured *m)
{
    double c[2][2] = {{0}};
    for (size_t i = 0; i < 2 * m->n; i++)
        for (size_t k = 0; k < 2 * m->n; k++)
            c[i % 2][k % 2] += m->cov[i * 2 * m->n + k] / (double)(m->n * m->n);
    const double half = (c[0][0] + c[1][1]) / 2, off = hypot((c[0][0] - c[1][1]) / 2, c[0][1]);
    return (struct ellipse){sqrt(two_95 * (half + off)), sqrt(two_95 * fmax(0, half - off)),
                            atan2(2 * c[0][1], c[0][0] - c[1][1]) / 2};
}
