/* Which stretches were really watched: played through at a speed one can see at. Seeking over a
 * stretch is not watching it. */
#include <stdlib.h>

#include "command/command.h"

enum { GAP_US = 1500000, SAVE_US = 10000000 };
#define FASTEST 2.0

static void save(struct desk *d)
{
    struct err e;
    if (d->watching.to_us <= d->watching.from_us)
        return;
    if (!store_watched_add(d->app->store, d->clip, &d->watching, 1, &e))
        desk_trouble(d, "%s", e.text);
    desk_wrote(d);
    d->watch_saved_us = d->watching.to_us;
}

void watch_end(struct desk *d)
{
    if (d->watching.to_us >= 0 && d->clip)
        save(d);
    d->watching = (struct stretch){0, -1};
}

void watch_follow(struct desk *d)
{
    const struct player_state *p = &d->play;
    bool watched = p->status == PLAYER_READY && p->playing && !p->seeking && p->speed <= FASTEST;
    int64_t step = p->at_us - d->watching.to_us;
    if (!watched) {
        watch_end(d);
        return;
    }
    if (d->watching.to_us < 0 || step < 0 || step > GAP_US) {
        watch_end(d);
        d->watching = (struct stretch){p->at_us, p->at_us};
        d->watch_saved_us = p->at_us;
        return;
    }
    d->watching.to_us = p->at_us;
    if (p->at_us - d->watch_saved_us > SAVE_US)
        save(d);
}
