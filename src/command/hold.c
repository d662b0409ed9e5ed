#include "command/hold.h"

#include <string.h>

void hold_begin(struct desk *d, struct hold *h, const struct hold_kind *kind)
{
    if (!h->kind) {
        h->under = d->holds;
        d->holds = h;
    }
    h->kind = kind;
}

void hold_end(struct desk *d, struct hold *h)
{
    struct hold **at = &d->holds;
    while (*at && *at != h)
        at = &(*at)->under;
    if (*at)
        *at = h->under;
    *h = (struct hold){0};
}

bool hold_key(struct desk *d, const char *key)
{
    for (struct hold *h = d->holds; h; h = h->under)
        if (h->kind->key)
            return h->kind->key(d, key);
    return false;
}

bool hold_takes_text(const struct desk *d)
{
    return d->holds && d->holds->kind->text;
}

bool hold_line(struct desk *d, const char *line)
{
    const bool keep = strcmp(line, "note") == 0, drop = strcmp(line, "back") == 0;
    for (struct hold *h = d->holds; h; h = h->under) {
        if (h->kind->line && h->kind->line(d, line))
            return true;
        if (!(keep || drop) || !h->kind->end)
            continue;
        h->kind->end(d, keep);
        return true;
    }
    return false;
}

/* A hold that ends takes only itself away. */
void hold_screen_left(struct desk *d)
{
    for (struct hold *h = d->holds, *under; h; h = under) {
        under = h->under;
        if (h->kind->screen_left)
            h->kind->screen_left(d);
    }
}

void hold_drop(struct desk *d)
{
    for (struct hold *h = d->holds, *under; h; h = under) {
        under = h->under;
        if (h->kind->drop)
            h->kind->drop(d);
    }
}

int hold_tick_ms(const struct desk *d, int otherwise)
{
    int least = otherwise;
    for (const struct hold *h = d->holds; h; h = h->under)
        if (h->kind->tick_ms && h->kind->tick_ms < least)
            least = h->kind->tick_ms;
    return least;
}
