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

bool site_shows(const struct site *s, const struct mark *m)
{
    for (size_t i = 0; i < s->n_pages; i++) {
        const struct fix_report page = {.show = &s->app->show,
                                        .section = s->pages[i].section,
                                        .performer = s->pages[i].performer};
        for (size_t t = 0; t < m->n_targets; t++)
            if (page_is_meant(&page, &m->targets[t]))
                return true;
    }
    return false;
}

void site_keep_shown(const struct site *s, struct mark_list *l)
{
    size_t kept = 0;
    for (size_t i = 0; i < l->n; i++)
        if (site_shows(s, &l->at[i]))
            l->at[kept++] = l->at[i];
    l->n = kept;
}
