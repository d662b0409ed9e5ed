#include "field/ghost.h"

#include <math.h>
#include <string.h>

struct ghosts ghosts_of(const struct show *show, struct arena *a)
{
    const size_t n = show->n_performers * show->n_sets;
    struct ghosts g = {show, arena_alloc(a, (n + 1) * sizeof *g.at)};
    memset(g.at, 0, (n + 1) * sizeof *g.at);
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *d = &show->dots[i];
        g.at[(size_t)d->performer * show->n_sets + (size_t)d->set] = d;
    }
    return g;
}

bool ghost_at(const struct ghosts *g, int performer, struct set_count when, struct dot_place *out)
{
    const int set = when.set;
    if (performer < 0 || (size_t)performer >= g->show->n_performers || set < 0 ||
        (size_t)set >= g->show->n_sets || !isfinite(when.count))
        return false;
    const size_t at = (size_t)performer * g->show->n_sets + (size_t)set;
    const struct dot *to = g->at[at], *from = set > 0 ? g->at[at - 1] : NULL;
    const int counts = g->show->sets[set].counts;
    const double part = counts > 0 ? fmin(1, fmax(0, (when.count - 1) / counts)) : 1;
    if (!to || (!from && part < 1))
        return false;
    out->x = part < 1 ? from->x + part * (to->x - from->x) : to->x;
    out->y = part < 1 ? from->y + part * (to->y - from->y) : to->y;
    return true;
}
