#include "field/spread.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "field/who.h"

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Of 2n numbers: between the two in the middle. */
static double median_off(const struct field_place *off, size_t n)
{
    struct arena mem = {0};
    double *all = arena_alloc(&mem, 2 * n * sizeof *all);
    for (size_t i = 0; i < n; i++) {
        all[2 * i] = fabs(off[i].x);
        all[2 * i + 1] = fabs(off[i].y);
    }
    qsort(all, 2 * n, sizeof *all, by_size);
    const double middle = (all[n - 1] + all[n]) / 2;
    arena_free(&mem);
    return middle;
}

double spread_of(const struct field_place *off, size_t n)
{
    static const double normal = 1.4826;
    const double usual = WHO_USUAL_SD_IN * WHO_USUAL_SD_IN;
    if (n == 0)
        return WHO_USUAL_SD_IN;
    const double own = normal * median_off(off, n);
    return sqrt((SPREAD_USUAL_WORTH * usual + (double)n * own * own) /
                (double)(SPREAD_USUAL_WORTH + n));
}
