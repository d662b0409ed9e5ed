#include "screen/stills.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "clip/still.h"
#include "command/screen.h"

struct stills {
    struct still *still; /* opened when it is needed first */
    bool none;           /* it cannot be */
    char *path;          /* of the picture that was asked for last */
    int64_t at_us;
    int width, height;
    struct still_picture shown; /* the newest; rgba NULL: none */
};

struct stills *stills_open(void)
{
    return xcalloc(1, sizeof(struct stills));
}

void stills_close(struct stills *s)
{
    if (!s)
        return;
    still_close(s->still);
    free(s->path);
    free(s);
}

static bool asked(const struct stills *s, const struct still_want *w)
{
    return s->path && strcmp(s->path, w->path) == 0 && s->at_us == w->at_us &&
           s->width == w->width && s->height == w->height;
}

static void ask(struct stills *s, const struct still_want *w)
{
    if (!s->still && !s->none)
        s->none = (s->still = still_open()) == NULL;
    if (!s->still || asked(s, w))
        return;
    free(s->path);
    s->path = xstrdup(w->path);
    s->at_us = w->at_us;
    s->width = w->width;
    s->height = w->height;
    still_ask(s->still, w);
}

static void forget(struct stills *s)
{
    free(s->path);
    s->path = NULL;
    s->shown.rgba = NULL;
}

void stills_turn(struct stills *s, const struct desk *d, struct pane *pane, bool anew)
{
    struct screen_still of;
    struct still_want want;
    if (!pane || !d->screen->still || !d->screen->still(d, &of)) {
        forget(s);
        return;
    }
    if (!pane_wanted(pane, PANE_STILL, &want.width, &want.height))
        return;
    want.path = of.path;
    want.at_us = of.at_us;
    ask(s, &want);
    const bool fresh = s->still && still_take(s->still, &s->shown);
    if ((fresh || anew) && s->shown.rgba)
        pane_picture(pane,
                     &(struct pane_image){s->shown.rgba, s->shown.width, s->shown.height,
                                          (size_t)s->shown.width * 4},
                     PANE_STILL);
    else if (fresh)
        pane_hide(pane); /* the moment before would stand there for this one */
}

int stills_fd(const struct stills *s)
{
    return s->still && s->path ? still_fd(s->still) : -1;
}

bool stills_busy(struct stills *s)
{
    return s->still && s->path && still_busy(s->still);
}
