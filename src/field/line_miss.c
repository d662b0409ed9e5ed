/* One yard line by itself. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "field/bar.h"
#include "field/pieces.h"

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
    const struct look how = {ask->picture, ask->paint, luma_noise(ask->picture), ask->reach, 1};
    double *steps = xcalloc(ask->paint->n + 1, sizeof *steps);
    size_t n = 0;
    for (size_t i = 0; i < ask->paint->n; i++) {
        const struct painted *p = &ask->paint->at[i];
        double offset, pixels_an_inch;
        if (p->kind == PAINT_YARD_LINE && p->line == yards &&
            piece_find(&how, c, p, &offset, &pixels_an_inch))
            steps[n++] = offset / pixels_an_inch / GRID_ACROSS_IN;
    }
    const struct line_miss out = miss_of(steps, n);
    free(steps);
    return out;
}
