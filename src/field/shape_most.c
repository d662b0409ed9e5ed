#include "field/shape_most.h"

#include <math.h>
#include <stdlib.h>

/* More of many are not tried: a third of these may still be anywhere. */
enum { LINE_TRIES = 60, ARC_TRIES = 24 };

size_t shape_belong(size_t n)
{
    return (2 * n + 2) / 3 - 1;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static size_t stride(size_t n, size_t most)
{
    return n > most ? (n + most - 1) / most : 1;
}

bool shape_line_most(struct arena *a, const struct field_place *p, size_t n, struct shape_line *out)
{
    const size_t step = stride(n, LINE_TRIES);
    double *off = arena_alloc(a, (n + 1) * sizeof *off), least = INFINITY;
    for (size_t i = 0; i < n; i += step)
        for (size_t k = i + step; k < n; k += step) {
            const double x = p[k].x - p[i].x, y = p[k].y - p[i].y;
            if (!(hypot(x, y) > 0))
                continue;
            /* as shape_line() has it: to the right, or straight to the back */
            const bool turn = x < 0 || (x == 0 && y < 0);
            const struct shape_line l = {p[i], turn ? atan2(-y, -x) : atan2(y, x), 0};
            for (size_t j = 0; j < n; j++)
                off[j] = fabs(shape_off_line(&l, p[j]));
            qsort(off, n, sizeof *off, by_size);
            if (off[shape_belong(n)] < least) {
                least = off[shape_belong(n)];
                *out = l;
            }
        }
    return isfinite(least);
}

/* Round three places; false in a line. */
static bool round_three(struct field_place a, struct field_place b, struct field_place c,
                        struct shape_arc *out)
{
    const double bx = b.x - a.x, by = b.y - a.y, cx = c.x - a.x, cy = c.y - a.y;
    const double det = 2 * (bx * cy - by * cx), bb = bx * bx + by * by, cc = cx * cx + cy * cy;
    if (!(fabs(det) > 1e-6 * (bb + cc)))
        return false;
    const double x = (cy * bb - by * cc) / det, y = (bx * cc - cx * bb) / det;
    *out = (struct shape_arc){{a.x + x, a.y + y}, hypot(x, y), 0};
    return true;
}

bool shape_arc_most(struct arena *a, const struct field_place *p, size_t n, struct shape_arc *out)
{
    const size_t step = stride(n, ARC_TRIES);
    double *off = arena_alloc(a, (n + 1) * sizeof *off), least = INFINITY;
    for (size_t i = 0; i < n; i += step)
        for (size_t k = i + step; k < n; k += step)
            for (size_t m = k + step; m < n; m += step) {
                struct shape_arc c;
                if (!round_three(p[i], p[k], p[m], &c))
                    continue;
                for (size_t j = 0; j < n; j++)
                    off[j] = fabs(shape_off_arc(&c, p[j]));
                qsort(off, n, sizeof *off, by_size);
                if (off[shape_belong(n)] < least) {
                    least = off[shape_belong(n)];
                    *out = c;
                }
            }
    return isfinite(least);
}
