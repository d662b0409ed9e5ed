#include "command/session.h"

#include <stdio.h>
#include <stdlib.h>

#include "app/app.h"
#include "command/clip.h"
#include "command/playing.h"
#include "command/reload.h"
#include "mark/mark.h"

bool desk_open(struct desk *d, struct app *app, const struct tools *tools, struct err *e)
{
    *d = (struct desk){
        .app = app,
        .tools = tools,
        .screen = tools->screens[0],
        .lead_ms = LEAD_DEFAULT_MS,
        .loop_a_us = -1,
        .loop_b_us = -1,
        .target_us = -1,
        .began_us = -1,
        .version = app->version,
        .play = {.speed = 1, .loop_a_us = -1, .loop_b_us = -1, .frame = -1},
    };
    parts_begin(d);
    char key[200];
    snprintf(key, sizeof key, "lead_ms %s", app_author());
    const char *lead = store_setting(app->store, &app->memory, key);
    if (lead)
        d->lead_ms = atof(lead);
    snprintf(key, sizeof key, "tap_bias_ms %s", app_author());
    const char *bias = store_setting(app->store, &app->memory, key);
    if (bias)
        d->tap_bias_us = atof(bias) * 1000;
    return keymap_own(&d->keys, tools, e);
}

bool desk_close(struct desk *d)
{
    parts_clip_left(d);
    clip_leave(d);
    bool ended = player_close(d->player);
    parts_end(d);
    keymap_free(&d->keys);
    arena_free(&d->map_memory);
    *d = (struct desk){0};
    return ended;
}

bool desk_poll(struct desk *d)
{
    const bool was_playing = d->play.playing;
    bool changed = playing_poll(d);
    if (was_playing && !d->play.playing)
        clip_leave(d);
    changed |= desk_follow(d);
    return parts_work(d) || changed;
}
