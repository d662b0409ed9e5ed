/* Names of people in notes. */
#include "count/timecode.h"
#include "show/people.h"
#include "site/inside.h"

static void look(struct site *s, const struct site_clip *c, const struct mark *m)
{
    struct buf people = {0};
    char time[24];
    time_format_short(m->at_us, time);
    people_in(m->note, &s->app->show, m->author, &people);
    if (people.n)
        buf_printf(&s->out->trouble,
                   "look again: the note at %s of %s has %s in it, and is published as it is\n",
                   time, c->c.label, people.p);
    buf_free(&people);
}

/* Is there a page on which nobody is to be named? */
static bool labels_alone(const struct site *s)
{
    for (size_t i = 0; i < s->n_pages; i++)
        if (s->pages[i].performer >= 0)
            return true;
    return s->want->labels_only;
}

bool site_names_in_notes(struct site *s, struct err *e)
{
    for (size_t i = 0; labels_alone(s) && i < s->n_clips; i++) {
        struct arena scratch = {0};
        struct mark_list marks;
        const bool ok = store_marks(s->app->store, &scratch, s->clips[i].c.id, &marks, e);
        for (size_t k = 0; ok && k < marks.n; k++)
            look(s, &s->clips[i], &marks.at[k]);
        arena_free(&scratch);
        if (!ok)
            return false;
    }
    return true;
}
