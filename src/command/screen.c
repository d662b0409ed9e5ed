#include "command/screen.h"

#include <string.h>

#include "command/tools.h"

struct below {
    const struct screen *screen; /* covered by the open one; NULL: nothing is */
};

static const struct part part = {.size = sizeof(struct below)};

static struct below *below(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct screen *screen_covered(const struct desk *d)
{
    return below(d)->screen;
}

static void leave(struct desk *d, const struct screen *s)
{
    if (s && s->left)
        s->left(d);
}

/* False when it is the open one. */
static bool turn_to(struct desk *d, const char *name)
{
    const struct screen *before = d->screen;
    for (const struct screen *const *s = d->tools->screens; *s; s++)
        if (strcmp((*s)->open.name, name) == 0)
            d->screen = *s;
    if (before == d->screen)
        return false;
    if (!d->trouble) /* what was said belongs to the screen before; trouble is to be read */
        d->message[0] = '\0';
    return true;
}

void screen_show(struct desk *d, const char *name)
{
    const struct screen *before = d->screen, *covered = screen_covered(d);
    if (!turn_to(d, name))
        return;
    below(d)->screen = NULL;
    leave(d, before);
    if (covered != d->screen)
        leave(d, covered);
}

void screen_cover(struct desk *d, const char *name)
{
    const struct screen *before = d->screen;
    if (!turn_to(d, name))
        return;
    below(d)->screen = before;
    if (before->again)
        leave(d, before);
}
