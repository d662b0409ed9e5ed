#include "command/screen.h"

#include <string.h>

#include "command/tools.h"

void screen_show(struct desk *d, const char *name)
{
    const struct screen *before = d->screen;
    for (const struct screen *const *s = d->tools->screens; *s; s++)
        if (strcmp((*s)->open.name, name) == 0)
            d->screen = *s;
    if (before == d->screen)
        return;
    if (!d->trouble) /* what was said belongs to the screen before; trouble is to be read */
        d->message[0] = '\0';
    if (before && before->left)
        before->left(d);
}
