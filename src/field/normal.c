#include "field/normal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

/* Below this of its row a pivot is nothing but rounding. */
static const double least_pivot = 1e-13;

static bool units(const double *information, size_t n, double *unit)
{
    for (size_t i = 0; i < n; i++) {
        unit[i] = sqrt(information[i * n + i]);
        if (!(unit[i] > 0) || !isfinite(unit[i]))
            return false;
    }
    return true;
}

/* The lower triangle whose square is the information, its rows in their units. */
static bool triangle(const double *information, const double *unit, size_t n, double *low)
{
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k <= i; k++) {
            double v = information[i * n + k] / (unit[i] * unit[k]);
            for (size_t m = 0; m < k; m++)
                v -= low[i * n + m] * low[k * n + m];
            if (i == k && !(v > least_pivot))
                return false;
            low[i * n + k] = i == k ? sqrt(v) : v / low[k * n + k];
        }
    return true;
}

static void back(const double *low, size_t n, double *x)
{
    for (size_t i = 0; i < n; i++) {
        for (size_t m = 0; m < i; m++)
            x[i] -= low[i * n + m] * x[m];
        x[i] /= low[i * n + i];
    }
    for (size_t i = n; i-- > 0;) {
        for (size_t m = i + 1; m < n; m++)
            x[i] -= low[m * n + i] * x[m];
        x[i] /= low[i * n + i];
    }
}

static void invert(const double *low, const double *unit, size_t n, double *column, double *inverse)
{
    for (size_t k = 0; k < n; k++) {
        for (size_t i = 0; i < n; i++)
            column[i] = i == k;
        back(low, n, column);
        for (size_t i = 0; i < n; i++)
            inverse[i * n + k] = column[i] / (unit[i] * unit[k]);
    }
}

static bool solve(const double *information, const double *wish, size_t n, double *move,
                  double *inverse)
{
    double *room = xcalloc(n * n + 2 * n + 1, sizeof *room);
    double *low = room, *unit = low + n * n, *column = unit + n;
    bool ok = n > 0 && units(information, n, unit) && triangle(information, unit, n, low);
    if (ok) {
        for (size_t i = 0; i < n; i++)
            column[i] = wish[i] / unit[i];
        back(low, n, column);
        for (size_t i = 0; i < n; i++) {
            move[i] = column[i] / unit[i];
            ok = ok && isfinite(move[i]);
        }
        if (inverse)
            invert(low, unit, n, column, inverse);
    }
    free(room);
    return ok;
}

/* --- the free ones ------------------------------------------------------------------------------ */

/* Their rows alone are solved; move and inverse (or NULL) come back among all. */
static bool solve_free(const struct normal *s, double *move, double *inverse)
{
    const size_t n = s->n;
    double *room = xcalloc(2 * n * n + 2 * n + 1, sizeof *room);
    double *m = room, *part = m + n * n, *wish = part + n * n, *out = wish + n;
    size_t *of = xcalloc(n + 1, sizeof *of), free_ones = 0;
    for (size_t i = 0; i < n; i++)
        if (s->free[i])
            of[free_ones++] = i;
    for (size_t i = 0; i < free_ones; i++) {
        wish[i] = s->wish[of[i]];
        for (size_t k = 0; k < free_ones; k++)
            m[i * free_ones + k] = s->information[of[i] * n + of[k]];
    }
    const bool ok = solve(m, wish, free_ones, out, inverse ? part : NULL);
    memset(move, 0, n * sizeof *move);
    if (inverse)
        memset(inverse, 0, n * n * sizeof *inverse);
    for (size_t i = 0; ok && i < free_ones; i++) {
        move[of[i]] = out[i];
        for (size_t k = 0; inverse && k < free_ones; k++)
            inverse[of[i] * n + of[k]] = part[i * free_ones + k];
    }
    free(of);
    free(room);
    return ok;
}

bool normal_move(const struct normal *s, double *move)
{
    return solve_free(s, move, NULL);
}

/* out += a b a' */
static void around(const double *a, const double *b, size_t n, double *out)
{
    double *half = xcalloc(n * n + 1, sizeof *half);
    for (size_t i = 0; i < n; i++)
        for (size_t m = 0; m < n; m++)
            for (size_t k = 0; a[i * n + m] != 0 && k < n; k++)
                half[i * n + k] += a[i * n + m] * b[m * n + k];
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++)
            for (size_t m = 0; m < n; m++)
                out[i * n + k] += half[i * n + m] * a[k * n + m];
    free(half);
}

/* What the free ones follow when others turn out to be other than they were taken for: -A^-1 A_fu;
 * the others follow themselves. */
static void pull_of(const struct normal *s, const double *inverse, double *pull)
{
    const size_t n = s->n;
    for (size_t k = 0; k < n; k++) {
        if (s->free[k])
            continue;
        for (size_t i = 0; i < n; i++) {
            pull[i * n + k] = i == k;
            for (size_t m = 0; m < n; m++)
                pull[i * n + k] -= inverse[i * n + m] * s->information[m * n + k];
        }
    }
}

bool normal_cov(const struct normal *s, const double *unsure, double *cov)
{
    const size_t n = s->n;
    double *room = xcalloc(2 * n * n + n + 1, sizeof *room);
    double *inverse = room, *pull = inverse + n * n, *none = pull + n * n;
    const bool ok = solve_free(s, none, inverse);
    memset(cov, 0, n * n * sizeof *cov);
    if (ok) {
        around(inverse, s->spread, n, cov);
        if (unsure) {
            pull_of(s, inverse, pull);
            around(pull, unsure, n, cov);
        }
    }
    free(room);
    return ok;
}
