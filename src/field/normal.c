#include "field/normal.h"

#include <math.h>
#include <stdlib.h>

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

bool normal_solve(const double *information, const double *wish, size_t n, double *move,
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
