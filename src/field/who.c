#include "field/who.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "field/assign.h"

/* Squared distance in units of both errors together. */
static double apart2(const struct who_ask *a, struct field_place dot)
{
    const double spread = a->usual_sd * a->usual_sd;
    const double xx = a->cov[0][0] + spread, yy = a->cov[1][1] + spread, xy = a->cov[0][1];
    const double x = a->at.x - dot.x, y = a->at.y - dot.y;
    return (x * x * yy - 2 * x * y * xy + y * y * xx) / (xx * yy - xy * xy);
}

static void insert(struct candidate *out, size_t n, size_t most, struct candidate one)
{
    size_t k = n < most ? n : most;
    if (k == most && (most == 0 || out[most - 1].probability >= one.probability))
        return;
    for (k = k == most ? most - 1 : k; k > 0 && out[k - 1].probability < one.probability; k--)
        out[k] = out[k - 1];
    out[k] = one;
}

size_t who_is(const struct who_ask *a, struct candidate *out, size_t most)
{
    double nearest = INFINITY, all = 0;
    for (size_t i = 0; i < a->n; i++)
        nearest = fmin(nearest, apart2(a, a->dots[i]));
    for (size_t i = 0; i < a->n; i++) {
        /* against the nearest, so that nobody far off is all nought */
        const double weight = exp((nearest - apart2(a, a->dots[i])) / 2);
        all += weight;
        insert(
            out, i, most,
            (struct candidate){i, weight, hypot(a->at.x - a->dots[i].x, a->at.y - a->dots[i].y)});
    }
    const size_t n = a->n < most ? a->n : most;
    for (size_t i = 0; i < n; i++)
        out[i].probability /= all;
    return n;
}

void who_all(const struct who_ask *asks, size_t n, int *dot)
{
    static const double nobodys = 16; /* squared */
    const size_t dots = n ? asks[0].n : 0;
    double *cost = xcalloc(n * dots + 1, sizeof *cost);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < dots; k++)
            cost[i * dots + k] = apart2(&asks[i], asks[i].dots[k]);
    assign(cost, n, dots, nobodys, dot);
    free(cost);
}
