#include "field/lock.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "base/arena.h"
#include "field/bar.h"

enum { N = CAMERA_PARAMETERS, LEAST_HELD = 30, REWEIGHTS = 6 };

static const double narrowest = 1.2;    /* pixels: a thinner bar is looked for as one so wide */
static const double widest = 60;        /* nearer than that the box would stand on it */
static const double least_bright = 12;  /* grey levels above both sides (measured on drawn clips) */
static const double tukey = 4.685;      /* 95 % efficient under a normal law (Huber & Ronchetti) */
static const double mad_to_sd = 1.4826; /* of a normal law */
static const double least_scale = 0.1;  /* pixels */
static const double last_reach = 3;     /* pixels */

/* A piece of paint that was looked for and a bar that was found. */
struct piece {
    double miss; /* pixels across the line */
    double slope[N];
    double weight;
};

struct pieces {
    struct piece *at;
    size_t n, cap, expected;
};

/* --- looking ---------------------------------------------------------------------------------- */

static bool in_picture(const struct luma *l, struct pixel p)
{
    return p.x > 0 && p.y > 0 && p.x < l->width && p.y < l->height;
}

/* How one piece lies in the picture. */
struct lie {
    double normal[2];    /* across the line */
    double direction[2]; /* that is searched: for a hash along itself, else the normal */
    double width;
    double share; /* of a move along the direction that is across the line */
};

static bool lie_of(const struct painted *p, const struct camera_slope *s, struct lie *out)
{
    const int across = paint_across(p) ? 0 : 1;
    const double along[2] = {s->by_place[0][!across], s->by_place[1][!across]};
    const double over[2] = {s->by_place[0][across], s->by_place[1][across]};
    const double length = hypot(along[0], along[1]), far = hypot(over[0], over[1]);
    if (!(length > 0) || !(far > 0))
        return false;
    out->normal[0] = -along[1] / length;
    out->normal[1] = along[0] / length;
    if (p->kind == PAINT_HASH) {
        out->direction[0] = over[0] / far;
        out->direction[1] = over[1] / far;
    } else {
        memcpy(out->direction, out->normal, sizeof out->direction);
    }
    out->share = out->direction[0] * out->normal[0] + out->direction[1] * out->normal[1];
    const double thick = fabs(over[0] * out->normal[0] + over[1] * out->normal[1]) * p->width;
    out->width = fabs(out->share) > 0.05 ? thick / fabs(out->share) : INFINITY;
    return out->width < widest;
}

/* Where the middle of the bar is seen: of a broad one that is not where the middle of its paint is. */
static void to_middle(const struct camera *c, const struct painted *p, struct pixel *at)
{
    static const double broad = 12;
    struct field_place one = p->at, other = p->at;
    struct pixel a, b;
    double *from = paint_across(p) ? &one.x : &one.y, *to = paint_across(p) ? &other.x : &other.y;
    *from -= p->width / 2;
    *to += p->width / 2;
    if (p->width > broad && camera_sees(c, one, &a, NULL) && camera_sees(c, other, &b, NULL))
        *at = (struct pixel){(a.x + b.x) / 2, (a.y + b.y) / 2};
}

/* A piece of paint as the camera has it in the picture. */
struct expected {
    struct pixel at;
    struct camera_slope slope;
    struct lie lie;
};

static bool expect(const struct lock_ask *ask, const struct camera *c, const struct painted *p,
                   struct expected *out)
{
    if (!camera_sees(c, p->at, &out->at, &out->slope) || !in_picture(ask->picture, out->at) ||
        !lie_of(p, &out->slope, &out->lie))
        return false;
    to_middle(c, p, &out->at);
    return true;
}

/* How far along its direction the bar is. */
static bool find(const struct lock_ask *ask, const struct expected *x, double reach, double *offset)
{
    const struct bar_ask bar = {.at = x->at,
                                .normal = {x->lie.direction[0], x->lie.direction[1]},
                                .width = fmax(x->lie.width, narrowest),
                                .reach = reach,
                                .least_bright = least_bright};
    return bar_find(ask->picture, &bar, offset);
}

static void look(const struct lock_ask *ask, const struct camera *c, double reach,
                 struct pieces *out)
{
    out->n = out->expected = 0;
    for (size_t i = 0; i < ask->paint->n; i++) {
        struct expected x;
        double offset;
        if (!expect(ask, c, &ask->paint->at[i], &x))
            continue;
        out->expected++;
        if (!find(ask, &x, reach, &offset))
            continue;
        out->at = array_grow(out->at, out->n, &out->cap, sizeof *out->at);
        struct piece *one = &out->at[out->n++];
        one->miss = offset * x.lie.share;
        for (int k = 0; k < N; k++)
            one->slope[k] = x.slope.by_camera[0][k] * x.lie.normal[0] +
                            x.slope.by_camera[1][k] * x.lie.normal[1];
    }
}

/* --- the camera out of the misses -------------------------------------------------------------- */

struct step {
    double move[N];
    double information[N][N]; /* of the free ones, pieces and priors */
    double scale;             /* pixels */
    size_t held;
};

static double left_over(const struct piece *p, const double move[N])
{
    double r = p->miss;
    for (int k = 0; k < N; k++)
        r -= p->slope[k] * move[k];
    return r;
}

static double scale_of(const struct pieces *all, const double move[N])
{
    double *off = xcalloc(all->n + 1, sizeof *off);
    for (size_t i = 0; i < all->n; i++)
        off[i] = fabs(left_over(&all->at[i], move));
    gsl_sort(off, 1, all->n);
    const double mad = gsl_stats_median_from_sorted_data(off, 1, all->n);
    free(off);
    return fmax(mad * mad_to_sd, least_scale);
}

static double biweight(double r)
{
    const double t = r / tukey;
    return fabs(t) < 1 ? (1 - t * t) * (1 - t * t) : 0;
}

static void weigh(struct pieces *all, struct step *s)
{
    s->scale = scale_of(all, s->move);
    s->held = 0;
    for (size_t i = 0; i < all->n; i++) {
        all->at[i].weight = biweight(left_over(&all->at[i], s->move) / s->scale);
        s->held += all->at[i].weight > 0;
    }
}

/* The normal equations: information and what the misses ask for. */
static void gather(const struct lock_ask *ask, const struct camera *c, const struct pieces *all,
                   struct step *s, double wish[N])
{
    memset(s->information, 0, sizeof s->information);
    memset(wish, 0, N * sizeof *wish);
    for (size_t i = 0; i < all->n; i++) {
        const struct piece *p = &all->at[i];
        const double w = p->weight / (s->scale * s->scale);
        if (w == 0)
            continue;
        for (int a = 0; a < N; a++) {
            if (!ask->free[a])
                continue;
            wish[a] += w * p->slope[a] * p->miss;
            for (int b = 0; b <= a; b++)
                s->information[a][b] += ask->free[b] ? w * p->slope[a] * p->slope[b] : 0;
        }
    }
    for (int a = 0; a < N; a++) {
        if (ask->free[a] && ask->prior[a].sd > 0) {
            const double w = 1 / (ask->prior[a].sd * ask->prior[a].sd);
            s->information[a][a] += w;
            wish[a] += w * (ask->prior[a].mean - c->p[a]);
        }
        for (int b = 0; b < a; b++)
            s->information[b][a] = s->information[a][b];
    }
}

/* The free rows scaled to ones on the diagonal, by Cholesky. inverse: NULL, or what comes out. */
static bool solve(const struct lock_ask *ask, const struct step *s, const double wish[N],
                  double move[N], double inverse[N][N])
{
    int of[N];
    size_t n = 0;
    for (int a = 0; a < N; a++)
        if (ask->free[a])
            of[n++] = a;
    gsl_matrix *m = gsl_matrix_alloc(n, n);
    gsl_vector *b = gsl_vector_alloc(n), *x = gsl_vector_alloc(n);
    double unit[N];
    bool ok = true;
    for (size_t i = 0; i < n; i++) {
        unit[i] = sqrt(s->information[of[i]][of[i]]);
        ok = ok && unit[i] > 0;
    }
    for (size_t i = 0; ok && i < n; i++) {
        gsl_vector_set(b, i, wish[of[i]] / unit[i]);
        for (size_t k = 0; k < n; k++)
            gsl_matrix_set(m, i, k, s->information[of[i]][of[k]] / (unit[i] * unit[k]));
    }
    ok = ok && gsl_linalg_cholesky_decomp1(m) == 0;
    if (ok) {
        gsl_linalg_cholesky_solve(m, b, x);
        memset(move, 0, N * sizeof *move);
        for (size_t i = 0; i < n; i++) {
            move[of[i]] = gsl_vector_get(x, i) / unit[i];
            ok = ok && isfinite(move[of[i]]);
        }
    }
    if (ok && inverse) {
        gsl_linalg_cholesky_invert(m);
        memset(inverse, 0, N * sizeof *inverse);
        for (size_t i = 0; i < n; i++)
            for (size_t k = 0; k < n; k++)
                inverse[of[i]][of[k]] = gsl_matrix_get(m, i, k) / (unit[i] * unit[k]);
    }
    gsl_matrix_free(m);
    gsl_vector_free(b);
    gsl_vector_free(x);
    return ok;
}

static bool correct(const struct lock_ask *ask, struct pieces *all, struct camera *c,
                    struct step *s, double inverse[N][N])
{
    double wish[N];
    memset(s->move, 0, sizeof s->move);
    for (int i = 0; i < REWEIGHTS; i++) {
        weigh(all, s);
        gather(ask, c, all, s, wish);
        if (!solve(ask, s, wish, s->move, i + 1 == REWEIGHTS ? inverse : NULL))
            return false;
    }
    for (int k = 0; k < N; k++)
        c->p[k] += s->move[k];
    return true;
}

static bool too_little(size_t found, struct err *e)
{
    return err_set(e, ERR_INPUT, "only %zu pieces of lines are seen where this camera expects them",
                   found);
}

/* --- lock -------------------------------------------------------------------------------------- */

/* Pieces two feet apart are not quite independent: a compressed picture's blocks, a line that is
 * not painted straight. So many count as one. */
static const double as_one = 4;

bool lock_camera(const struct lock_ask *ask, const struct camera *start, struct lock_fit *out,
                 struct err *e)
{
    struct pieces all = {0};
    struct step s = {0};
    double reach = ask->reach, inverse[N][N];
    bool ok = true;
    *out = (struct lock_fit){.camera = *start};
    for (int round = 0; ok && round < ask->rounds; round++) {
        look(ask, &out->camera, reach, &all);
        ok = all.n >= LEAST_HELD || too_little(all.n, e);
        ok = ok && (correct(ask, &all, &out->camera, &s, inverse) || too_little(all.n, e));
        reach = fmax(last_reach, reach / 2);
    }
    if (ok) {
        double squares = 0, weights = 0;
        for (size_t i = 0; i < all.n; i++) {
            const double r = left_over(&all.at[i], s.move);
            squares += all.at[i].weight * r * r;
            weights += all.at[i].weight;
        }
        out->rms_px = weights > 0 ? sqrt(squares / weights) : 0;
        out->held = s.held;
        out->found = all.n;
        out->expected = all.expected;
        for (int a = 0; a < N; a++)
            for (int b = 0; b < N; b++)
                out->cov[a][b] = inverse[a][b] * as_one;
        ok = out->held >= LEAST_HELD || too_little(out->held, e);
    }
    free(all.at);
    return ok;
}

/* --- one line by itself ------------------------------------------------------------------------- */

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median_of(const double *x, size_t n)
{
    double *sorted = xcalloc(n + 1, sizeof *sorted);
    memcpy(sorted, x, n * sizeof *sorted);
    qsort(sorted, n, sizeof *sorted, by_size);
    const double middle = sorted[n / 2];
    free(sorted);
    return middle;
}

/* People on the line and what else is white beside it: far from where the most of the line is. */
static size_t leave_out_others(double *x, size_t n)
{
    static const double beyond = 5, always = 0.02; /* MADs, steps */
    const double middle = median_of(x, n);
    double *off = xcalloc(n + 1, sizeof *off);
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        off[i] = fabs(x[i] - middle);
    const double most = beyond * median_of(off, n) + always;
    for (size_t i = 0; i < n; i++)
        if (off[i] <= most)
            x[kept++] = x[i];
    free(off);
    return kept;
}

/* In four parts from the front to the back, so that a line that leans is one that misses. */
static struct line_miss miss_of(double *x, size_t n)
{
    enum { PARTS = 4 };
    struct line_miss out = {.pieces = n ? leave_out_others(x, n) : 0};
    double squares = 0;
    if (out.pieces < PARTS)
        return (struct line_miss){0};
    for (size_t part = 0; part < PARTS; part++) {
        const size_t from = out.pieces * part / PARTS, to = out.pieces * (part + 1) / PARTS;
        double mean = 0;
        for (size_t i = from; i < to; i++)
            mean += x[i] / (double)(to - from);
        squares += mean * mean / PARTS;
    }
    out.steps = sqrt(squares);
    return out;
}

struct line_miss lock_line_miss(const struct lock_ask *ask, const struct camera *c, int yards)
{
    double *steps = xcalloc(ask->paint->n + 1, sizeof *steps);
    size_t n = 0;
    for (size_t i = 0; i < ask->paint->n; i++) {
        const struct painted *p = &ask->paint->at[i];
        struct expected x;
        double offset;
        if (p->kind != PAINT_YARD_LINE || p->line != yards || !expect(ask, c, p, &x))
            continue;
        const double pixels_an_inch = fabs(x.slope.by_place[0][0] * x.lie.normal[0] +
                                           x.slope.by_place[1][0] * x.lie.normal[1]);
        if (find(ask, &x, ask->reach, &offset))
            steps[n++] = offset / pixels_an_inch / GRID_ACROSS_IN;
    }
    const struct line_miss out = miss_of(steps, n);
    free(steps);
    return out;
}
