#include "field/says.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_statistics_double.h>

#include "base/arena.h"
#include "field/inside.h"

enum { N = PIECE_PARAMETERS };

static const double tukey = 4.685;      /* 95 % efficient under a normal law (Huber & Ronchetti) */
static const double mad_to_sd = 1.4826; /* of a normal law */
static const double least_scale = 1;    /* of the pieces' own sd */
static const double all_alone = 4;      /* where the others say nothing: counted so many times */
static const double line_off = 0.25;    /* of the misses' rms */
const double says_unmodelled = 1.2;

/* In the piece's own sd. */
static double left_over(const struct piece *p, const double move[N])
{
    double r = p->miss;
    for (int k = 0; k < N; k++)
        r -= p->slope[k] * move[k];
    return r / p->sd;
}

static double scale_of(const struct pieces *all, const double move[N])
{
    double *off = xcalloc(all->n + 1, sizeof *off);
    for (size_t i = 0; i < all->n; i++)
        off[i] = fabs(left_over(&all->at[i], move));
    const double mad = all->n ? gsl_stats_median(off, 1, all->n) : 0;
    free(off);
    return fmax(mad * mad_to_sd, least_scale);
}

static double biweight(double t)
{
    return fabs(t) < 1 ? (1 - t * t) * (1 - t * t) : 0;
}

static void mirror(double m[N][N])
{
    for (int a = 0; a < N; a++)
        for (int b = 0; b < a; b++)
            m[b][a] = m[a][b];
}

/* Adds w x x', below the diagonal. */
static void add_square(double m[N][N], const double x[N], double w)
{
    for (int a = 0; a < N; a++)
        for (int b = 0; b <= a; b++)
            m[a][b] += w * x[a] * x[b];
}

void says_pieces(struct pieces *all, const double move[N], struct says *out)
{
    *out = (struct says){.scale = scale_of(all, move)};
    for (size_t i = 0; i < all->n; i++) {
        struct piece *p = &all->at[i];
        p->weight = biweight(left_over(p, move) / (out->scale * tukey));
        if (p->weight == 0)
            continue;
        const double w = p->weight / (out->scale * out->scale * p->sd * p->sd);
        out->held++;
        for (int a = 0; a < N; a++)
            out->wish[a] += w * p->slope[a] * p->miss;
        add_square(out->information, p->slope, w);
    }
    mirror(out->information);
}

/* How a score changes with its miss, over its weight: of the biweight (1 - t^2)(1 - 5 t^2). */
static double steepness(const struct pieces *all, const double move[N], double scale)
{
    double weights = 0, slopes = 0;
    for (size_t i = 0; i < all->n; i++) {
        const double t = left_over(&all->at[i], move) / (scale * tukey);
        weights += all->at[i].weight;
        slopes += all->at[i].weight > 0 ? (1 - t * t) * (1 - 5 * t * t) : 0;
    }
    return weights > 0 ? fmax(0.2, slopes / weights) : 1;
}

size_t says_stretches(const struct pieces *all, const double move[N], const struct says *s,
                      struct stretch *out)
{
    size_t n = 0;
    for (size_t i = 0; i < all->n; i++) {
        const struct piece *p = &all->at[i];
        if (i == 0 || all->at[i - 1].stretch != p->stretch)
            out[n++] = (struct stretch){.is = p->stretch};
        const double w = p->weight / (s->scale * s->scale * p->sd * p->sd);
        const double off = w * left_over(p, move) * p->sd;
        for (int a = 0; a < N; a++)
            out[n - 1].sum[a] += off * p->slope[a];
        add_square(out[n - 1].information, p->slope, w * s->steep);
    }
    for (size_t i = 0; i < n; i++)
        mirror(out[i].information);
    return n;
}

size_t says_count(const struct pieces *all)
{
    size_t n = 0;
    for (size_t i = 0; i < all->n; i++)
        n += i == 0 || all->at[i - 1].stretch != all->at[i].stretch;
    return n;
}

void says_alone(const struct normal *all, double *sum, double *room)
{
    const size_t n = all->n;
    struct normal others = *all;
    others.information = room;
    others.wish = sum;
    double *move = room + n * n;
    if (!normal_move(&others, move)) {
        for (size_t a = 0; a < n; a++)
            sum[a] *= all_alone;
        return;
    }
    for (size_t a = 0; a < n; a++) {
        sum[a] = 0;
        for (size_t b = 0; b < n; b++)
            sum[a] += all->information[a * n + b] * move[b];
    }
}

void says_left(struct pieces *all, const double move[N], struct says *out)
{
    double squares = 0, weights = 0;
    says_pieces(all, move, out);
    out->steep = steepness(all, move, out->scale);
    for (size_t i = 0; i < all->n; i++) {
        const struct piece *p = &all->at[i];
        const double r = left_over(p, move) * p->sd;
        squares += p->weight * r * r;
        weights += p->weight;
    }
    out->rms_px = weights > 0 ? sqrt(squares / weights) : 0;
    for (int a = 0; a < N; a++)
        for (int b = 0; b < N; b++)
            out->information[a][b] *= out->steep;
}

void says_spread(const struct pieces *all, const double move[N], const bool free_ones[N],
                 struct says *out)
{
    const struct normal whole = {N, out->information[0], out->wish, out->spread[0], free_ones};
    struct stretch *of = xcalloc(says_count(all) + 1, sizeof *of);
    const size_t n = says_stretches(all, move, out, of);
    for (size_t i = 0; i < n; i++) {
        double room[N * N + N];
        for (int k = 0; k < N * N; k++)
            room[k] = whole.information[k] - of[i].information[k / N][k % N];
        says_alone(&whole, of[i].sum, room);
        for (int a = 0; a < N; a++)
            for (int b = 0; b < N; b++)
                out->spread[a][b] += says_unmodelled * of[i].sum[a] * of[i].sum[b];
    }
    free(of);
}

/* Stretches of one line follow one another, and have its kind and number in common. */
void says_lines(const struct pieces *all, struct says *s)
{
    double of_line[N] = {0};
    for (size_t i = 0; i < all->n; i++) {
        const struct piece *p = &all->at[i];
        const double w = p->weight / (s->scale * s->scale * p->sd * p->sd);
        for (int a = 0; a < N; a++)
            of_line[a] += w * p->slope[a];
        if (i + 1 < all->n && all->at[i + 1].line == p->line)
            continue;
        add_square(s->spread, of_line, pow(line_off * s->rms_px, 2));
        memset(of_line, 0, sizeof of_line);
    }
    mirror(s->spread);
}

/* --- what was known before ---------------------------------------------------------------------- */

void says_prior(struct says *s, int parameter, const struct prior *known, double now)
{
    if (!(known->sd > 0))
        return;
    const double w = 1 / (known->sd * known->sd);
    s->information[parameter][parameter] += w;
    s->spread[parameter][parameter] += w;
    s->wish[parameter] += w * (known->mean - now);
}

void says_picks(struct says *s, const struct pick *picks, size_t n, const struct camera *c)
{
    for (size_t i = 0; i < n; i++) {
        double miss[2], slope[2][CAMERA_PARAMETERS];
        const int rows = pick_row(c, &picks[i], miss, slope);
        const double w = 1 / (picks[i].sd * picks[i].sd);
        for (int r = 0; r < rows; r++)
            for (int a = 0; a < CAMERA_PARAMETERS; a++) {
                s->wish[a] -= w * slope[r][a] * miss[r];
                for (int b = 0; b < CAMERA_PARAMETERS; b++) {
                    s->information[a][b] += w * slope[r][a] * slope[r][b];
                    s->spread[a][b] += w * slope[r][a] * slope[r][b];
                }
            }
    }
}
