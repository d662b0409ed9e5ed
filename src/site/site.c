/* What is asked of a publishing from everywhere in the room. */
#include <stdlib.h>

#include "site/inside.h"

bool site_stopped(const struct site *s, struct err *e)
{
    const bool stopped = s->want->cancel && atomic_load(s->want->cancel);
    if (stopped)
        e->code = ERR_NONE;
    return stopped;
}

void site_lacks(struct site *s, const struct err *why)
{
    buf_printf(&s->out->trouble, "%s\n", why->text);
    made_lacks(s->made);
}

void site_tell(const struct site *s, const char *what, size_t done, size_t all)
{
    if (s->want->progress)
        s->want->progress(s->want->user, what, done, all);
}

const struct clip *site_stored(const struct site *s, int64_t id)
{
    for (size_t i = 0; i < s->app->clips.n; i++)
        if (s->app->clips.at[i].id == id)
            return &s->app->clips.at[i];
    return NULL;
}

int site_by_mark(const void *a, const void *b)
{
    const struct need *x = a, *y = b;
    return (x->mark > y->mark) - (x->mark < y->mark);
}

const struct need *site_need(const struct site *s, int64_t mark)
{
    return s->n_needs ? bsearch(&(struct need){.mark = mark}, s->needs, s->n_needs,
                                sizeof *s->needs, site_by_mark)
                      : NULL;
}
