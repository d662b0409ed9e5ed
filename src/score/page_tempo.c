#include <math.h>
#include <string.h>

#include "base/quantity.h"
#include "score/page_inner.h"

/* --- tempos and marks ------------------------------------------------------------------------ */

static bool note_event(struct page_reading *r, struct page_event x, struct err *e)
{
    struct page *p = r->page;
    if (p->n_events == SCORE_TEMPOS)
        return err_set(e, ERR_INPUT, "more than %d tempos and marks; no show has so many",
                       SCORE_TEMPOS);
    x.measure = r->measure - 1;
    x.order = p->n_events;
    p->events = array_grow(p->events, p->n_events, &p->cap_events, sizeof x);
    p->events[p->n_events++] = x;
    return true;
}

bool page_begin_direction(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    (void)x, (void)e;
    r->in_direction = true;
    r->offset_sounds = false;
    r->offset = r->tempo = r->beat = r->per_minute = 0;
    r->units = 0;
    r->dotted = 1;
    return true;
}

bool page_begin_offset(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    const char *sounds = xml_attribute(x, "sound");
    (void)e;
    r->offset_sounds = page_within(r, "sound") || (sounds && strcmp(sounds, "yes") == 0);
    return true;
}

bool page_end_offset(struct page_reading *r, const char *text, struct err *e)
{
    double x;
    const bool minus = *text == '-';
    if (!page_number(text + minus, 0, PAGE_MOST_UNITS, &x))
        return page_not_a(r, text, "an offset", e);
    if (r->offset_sounds)
        r->offset = (minus ? -x : x) / r->divisions[r->part - 1];
    return true;
}

bool page_end_rehearsal(struct page_reading *r, const char *text, struct err *e)
{
    const char *mark = draft_text(r->page->a, text, strlen(text));
    return note_event(r, (struct page_event){.at = r->cursor, .text = mark}, e);
}

bool page_end_beat_unit(struct page_reading *r, const char *text, struct err *e)
{
    static const struct {
        const char *name;
        double quarters;
    } units[] = {{"quarter", 1}, {"eighth", 0.5}, {"half", 2}, {"whole", 4},
                 {"16th", 0.25}, {"32nd", 0.125}, {"breve", 8}};
    (void)e;
    r->units++;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcmp(text, units[i].name) == 0)
            r->beat = units[i].quarters;
    return true;
}

/* Each dot adds half of what the one before it added. */
bool page_begin_dot(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    (void)x, (void)e;
    r->dotted += (2 - r->dotted) / 2;
    return true;
}

/* "132", "c. 132": the first number that stands there. */
bool page_end_per_minute(struct page_reading *r, const char *text, struct err *e)
{
    const char *digits = text + strcspn(text, "0123456789");
    double x;
    (void)e;
    if (*digits && decimal_read(digits, &x) && x > 0)
        r->per_minute = x;
    return true;
}

bool page_end_direction(struct page_reading *r, const char *text, struct err *e)
{
    static const double least = 1, most = 4000; /* quarters a minute, whatever is counted */
    double bpm = r->tempo;
    (void)text;
    r->in_direction = false;
    if (bpm <= 0) /* without a number it is a relation of two notes, and no tempo */
        bpm = r->per_minute * r->beat * r->dotted;
    if (bpm <= 0 && r->units == 2)
        return page_pass(r, PASSED_RELATION, "a note = another");
    if (bpm <= 0)
        return true;
    if (bpm < least || bpm > most) {
        err_set(e, ERR_INPUT, "a tempo of %g quarters a minute; correct it in the score", bpm);
        return page_refused(r, e);
    }
    return note_event(r, (struct page_event){.at = fmax(0, r->cursor + r->offset), .bpm = bpm}, e);
}
