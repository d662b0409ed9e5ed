/* The window of its own: its keys and clicks come back as events, marks are drawn over it. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "player/inside.h"

bool window_options(mpv_handle *mpv, const struct player *p, struct err *e)
{
    (void)mpv;
    (void)p;
    return err_set(e, ERR_FAILED, "there is no display to open a window on");
}

void window_ready(struct player *p)
{
    (void)p;
}

void window_message(struct player *p, int n, const char **args)
{
    (void)p;
    (void)n;
    (void)args;
}

void window_margins(struct player *p, const mpv_node *osd)
{
    (void)p;
    (void)osd;
}

bool player_event(struct player *p, struct player_event *out)
{
    if (p->ring_head == p->ring_tail)
        return false;
    *out = p->ring[p->ring_head++ % EVENT_RING];
    return true;
}

void player_overlay(struct player *p, const char *ass_events)
{
    (void)p;
    (void)ass_events;
}
