/* Names of people in notes, and in what clips and their folders are called. */
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

/* What the pages say of a clip by themselves: its name, and where it lies. */
static void look_at_clip(struct site *s, struct site_clip *c, const char *authors)
{
    const bool linked = s->want->clips == PUBLISH_LINK && c->found;
    struct buf people = {0};
    people_in(c->c.label, &s->app->show, authors, &people);
    if (people.n)
        buf_printf(&s->out->trouble,
                   "look again: the name of clip %s has %s in it, and is published as it is\n",
                   c->c.label, people.p);
    buf_clear(&people);
    if (linked)
        people_in(c->c.link, &s->app->show, authors, &people);
    if (people.n) {
        buf_printf(
            &s->out->trouble,
            "%s: the clip lies in %s, which has %s in it, so pages without names do not play "
            "it; give --clips copy or cut\n",
            c->c.label, c->c.link, people.p);
        c->hidden = true;
    }
    buf_free(&people);
}

static bool add_authors(struct site *s, struct buf *out, struct err *e)
{
    bool ok = true;
    for (size_t i = 0; ok && i < s->n_clips; i++) {
        struct arena scratch = {0};
        struct mark_list marks;
        ok = store_marks(s->app->store, &scratch, s->clips[i].c.id, &marks, e);
        for (size_t k = 0; ok && k < marks.n; k++)
            buf_printf(out, " %s", marks.at[k].author);
        arena_free(&scratch);
    }
    return ok;
}

bool site_names_of_clips(struct site *s, struct err *e)
{
    struct buf authors = {0};
    bool ok = !labels_alone(s) || add_authors(s, &authors, e);
    for (size_t i = 0; ok && labels_alone(s) && i < s->n_clips; i++)
        look_at_clip(s, &s->clips[i], buf_text(&authors));
    buf_free(&authors);
    return ok;
}

bool site_names_in_notes(struct site *s, struct err *e)
{
    for (size_t i = 0; labels_alone(s) && i < s->n_clips; i++) {
        struct arena scratch = {0};
        struct mark_list marks;
        const bool ok = store_marks(s->app->store, &scratch, s->clips[i].c.id, &marks, e);
        for (size_t k = 0; ok && k < marks.n; k++)
            if (site_shows(s, &marks.at[k]))
                look(s, &s->clips[i], &marks.at[k]);
        arena_free(&scratch);
        if (!ok)
            return false;
    }
    return true;
}
