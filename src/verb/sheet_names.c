/* Notes may name somebody whom the sheet itself does not. */
#include <string.h>

#include "count/timecode.h"
#include "show/people.h"
#include "verb/sheets.h"

static void tell(struct call *c, const struct fix_report *r, const struct report_moment *m)
{
    char time[24];
    struct buf people = {0};
    people_in(m->note, r->show, "", &people);
    if (!people.n)
        return;
    time_format_short(m->at.at_us, time);
    const char *line = arena_printf(
        &c->memory, "look again: the note at %s of %s has %s in it, and is printed as it is\n",
        time, r->clips[m->at.clip].label, people.p);
    buf_free(&people);
    if (!strstr(buf_text(&c->talk), line)) /* a group's mark stands on many lists */
        buf_str(&c->talk, line);
}

void sheets_names(struct call *c, const struct fix_report *r, const struct sheet_style *style)
{
    for (size_t k = 0; style->labels_only && k <= r->n_with; k++) {
        const struct report_part *part = k ? &r->with[k - 1] : &r->own;
        for (size_t i = 0; i < part->n_moments; i++)
            tell(c, r, &part->moments[i]);
    }
}
