#include "command/watch.h"

#include <stdlib.h>

#include "app/app.h"

enum { GAP_US = 1500000, SAVE_US = 10000000 };
#define FASTEST 2.0

struct watching {
    bool on;
    struct stretch now;
    int64_t saved_us; /* how far of it is stored */
};

static void left(struct desk *d, void *unused)
{
    (void)unused;
    watch_end(d);
}

static const struct part part = {.size = sizeof(struct watching), .clip_left = left, .end = left};

static struct watching *watching(const struct desk *d)
{
    return desk_part(d, &part);
}

static void save(struct desk *d)
{
    struct watching *w = watching(d);
    struct err e;
    if (w->now.to_us <= w->now.from_us)
        return;
    if (!store_watched_add(d->app->store, d->clip, &w->now, 1, &e))
        desk_trouble(d, "%s", e.text);
    desk_wrote(d);
    w->saved_us = w->now.to_us;
}

void watch_end(struct desk *d)
{
    struct watching *w = watching(d);
    if (w->on && d->clip)
        save(d);
    w->on = false;
}

void watch_follow(struct desk *d)
{
    struct watching *w = watching(d);
    const struct player_state *p = &d->play;
    bool watched = p->status == PLAYER_READY && p->playing && !p->seeking && p->speed <= FASTEST;
    int64_t step = p->at_us - w->now.to_us;
    if (!watched) {
        watch_end(d);
    } else if (!w->on || step < 0 || step > GAP_US) {
        watch_end(d);
        *w = (struct watching){true, {p->at_us, p->at_us}, p->at_us};
    } else {
        w->now.to_us = p->at_us;
        if (p->at_us - w->saved_us > SAVE_US)
            save(d);
    }
}
