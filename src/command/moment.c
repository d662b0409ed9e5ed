#include "command/moment.h"

#include "app/app.h"
#include "command/clip.h"
#include "command/screen.h"
#include "mark/mark.h"

static const struct clip *clip_of_row(const struct desk *d, int64_t id)
{
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (d->app->clips.at[i].id == id)
            return &d->app->clips.at[i];
    return NULL;
}

void moment_play(struct desk *d, int64_t clip, int64_t at_us, int64_t mark)
{
    struct err e;
    const struct clip *c = clip_of_row(d, clip);
    int64_t from = at_us > MARK_LEAD_IN_US ? at_us - MARK_LEAD_IN_US : 0;
    if (!c)
        return;
    if (d->clip != c->id && !desk_clip(d, c, from, true, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    d->loop_a_us = from;
    d->loop_b_us = at_us + MARK_TAIL_US;
    d->play_when_ready = true;
    d->selected = mark;
    screen_show(d, "review");
}
