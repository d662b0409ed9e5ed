#include "command/tied.h"

#include <stdlib.h>

#include "app/app.h"

bool map_read(struct desk *d, struct err *e)
{
    const struct clip *c = desk_current(d);
    struct arena fresh = {0};
    struct tie_list ties;
    const struct map *map = c ? app_map(d->app, c, &fresh, &ties, e) : NULL;
    if (!map) {
        arena_free(&fresh);
        return false;
    }
    arena_free(&d->map_memory);
    d->map_memory = fresh;
    d->map = map;
    d->ties = ties;
    d->moves = app_moves(&d->app->show, &d->map_memory);
    return true;
}

void map_forget(struct desk *d)
{
    arena_free(&d->map_memory);
    d->map = NULL;
    d->moves = (struct moves){0};
    d->ties = (struct tie_list){0};
}

bool desk_spot(const struct desk *d, struct spot *out)
{
    return d->map && map_at(d->map, d->play.at_us, out);
}

const struct tie *nearest_tie(const struct desk *d)
{
    const struct tie *best = NULL;
    for (size_t i = 0; i < d->ties.n; i++)
        if (!best ||
            llabs(d->ties.at[i].at_us - d->play.at_us) < llabs(best->at_us - d->play.at_us))
            best = &d->ties.at[i];
    return best;
}
