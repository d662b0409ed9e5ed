#include "plan/paths.h"

#include <math.h>
#include <stdlib.h>

static double least_x(const struct path *p)
{
    return p->x0 < p->x1 ? p->x0 : p->x1;
}

static double most_x(const struct path *p)
{
    return p->x0 > p->x1 ? p->x0 : p->x1;
}

static int by_x(const void *a, const void *b)
{
    const double x = least_x(a), y = least_x(b);
    return (x > y) - (x < y);
}

/* The nearest moment of two paths, from how one lies seen from the other. */
static struct meeting nearest_of(const struct path *p, const struct path *q)
{
    const double x = q->x0 - p->x0, y = q->y0 - p->y0;
    const double dx = q->x1 - p->x1 - x, dy = q->y1 - p->y1 - y;
    const double run = dx * dx + dy * dy;
    double part = run > 0 ? -(x * dx + y * dy) / run : 0;
    part = part < 0 ? 0 : part > 1 ? 1 : part;
    return (struct meeting){p->who, q->who, hypot(x + part * dx, y + part * dy), part};
}

static int meets(const struct path *p, const struct path *q, const struct meeting *m)
{
    const double start = hypot(q->x0 - p->x0, q->y0 - p->y0);
    const double end = hypot(q->x1 - p->x1, q->y1 - p->y1);
    const double least = start < end ? start : end;
    if (!(m->inches < PATHS_NEAR_IN - 0.01)) /* a step apart all the way is not nearer */
        return 0;
    return least >= PATHS_NEAR_IN - 0.01 || least - m->inches > PATHS_DIP_IN;
}

size_t paths_meet(struct path *paths, size_t n, struct meeting *nearest)
{
    size_t pairs = 0;
    if (n)
        qsort(paths, n, sizeof *paths, by_x);
    for (size_t i = 0; i < n; i++) {
        const double reach = most_x(&paths[i]) + PATHS_NEAR_IN;
        for (size_t k = i + 1; k < n && least_x(&paths[k]) < reach; k++) {
            const struct meeting m = nearest_of(&paths[i], &paths[k]);
            if (!meets(&paths[i], &paths[k], &m))
                continue;
            if (pairs++ == 0 || m.inches < nearest->inches)
                *nearest = m;
        }
    }
    return pairs;
}
