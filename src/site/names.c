/* Names of people in notes. */
#include "count/timecode.h"
#include "show/people.h"
#include "site/inside.h"

static const char *person_in(struct site *s, const struct mark *m)
{
    const char *part = people_named(s->mem, m->note, &s->app->show);
    return *part ? part : people_part(s->mem, m->note, m->author);
}

bool site_names_in_notes(struct site *s, struct err *e)
{
    for (size_t i = 0; s->want->labels_only && i < s->n_clips; i++) {
        struct arena scratch = {0};
        struct mark_list marks;
        const bool ok = store_marks(s->app->store, &scratch, s->clips[i].c.id, &marks, e);
        for (size_t k = 0; ok && k < marks.n; k++) {
            const char *part = *marks.at[k].note ? person_in(s, &marks.at[k]) : "";
            char time[24];
            time_format_short(marks.at[k].at_us, time);
            if (*part)
                buf_printf(&s->out->trouble,
                           "look again: the note at %s of %s has '%s' in it, which is a name\n",
                           time, s->clips[i].c.label, part);
        }
        arena_free(&scratch);
        if (!ok)
            return false;
    }
    return true;
}
