#include "command/clip.h"

#include <stdio.h>
#include <stdlib.h>

#include "app/app.h"
#include "base/shell.h"
#include "command/calls.h"
#include "command/tied.h"

/* In the file, and in the list that clips are opened from. */
static void keep_place(struct desk *d, int64_t clip, int64_t at_us)
{
    struct err ignored;
    store_clip_left(d->app->store, clip, at_us, &ignored);
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (d->app->clips.at[i].id == clip)
            d->app->clips.at[i].left_us = at_us;
}

void clip_leave(struct desk *d)
{
    if (d->clip && d->play.status == PLAYER_READY)
        keep_place(d, d->clip, d->play.at_us);
}

const struct clip *desk_first_clip(struct desk *d, const char *named, struct err *e)
{
    const struct clip_list *l = &d->app->clips;
    if (named)
        return clip_named(l, named, e);
    if (l->n == 0) {
        err_set(e, ERR_INPUT, "%s: no clip to review yet; add one: boxcall add %s clip FILE",
                store_path(d->app->store), shell_word(store_path(d->app->store)).text);
        return NULL;
    }
    const char *last = store_setting(d->app->store, &d->app->memory, "last_clip");
    for (size_t i = 0; last && i < l->n; i++)
        if (l->at[i].id == atoll(last) && l->at[i].left_us >= 0)
            return &l->at[i];
    for (size_t i = 0; i < l->n; i++)
        if (l->at[i].left_us < 0)
            return &l->at[i];
    return &l->at[0];
}

bool marks_read(struct desk *d, struct err *e)
{
    if (!calls_read(d, true, e))
        return false;
    if (!desk_mark(d, d->newest))
        d->newest = 0;
    if (!desk_mark(d, d->selected))
        d->selected = 0;
    return true;
}

bool desk_clip(struct desk *d, const struct clip *c, int64_t start_us, bool play, struct err *e)
{
    const char *path = app_clip_path(d->app, c, e);
    if (!path)
        return false;
    if (!d->player) {
        struct player_want want = {.view = d->view, .sound = d->sound, .title = "boxcall"};
        if (!player_open(&d->player, &want, e))
            return false;
    }
    clip_leave(d);
    if (start_us < 0)
        start_us = c->left_us > 0 ? c->left_us : 0;
    if (!player_load(d->player, path, start_us, play, e))
        return false;
    char id[32];
    snprintf(id, sizeof id, "%lld", (long long)c->id);
    parts_clip_left(d);
    map_forget(d);
    d->clip = c->id;
    d->start_us = d->target_us = start_us;
    d->play.status = PLAYER_OPENING; /* what is known until the player says more */
    d->play.at_us = start_us;
    d->newest = d->selected = 0;
    d->loop_a_us = d->loop_b_us = -1;
    struct err ignored;
    store_set(d->app->store, "last_clip", id, &ignored);
    keep_place(d, c->id, start_us);
    return map_read(d, e) && calls_read(d, false, e);
}
