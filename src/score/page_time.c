#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "score/page_inner.h"

/* Longer than any measure, in quarters. */
static const double longest_measure = 256;

/* --- notes ----------------------------------------------------------------------------------- */

static bool move(struct page_reading *r, double quarters, struct err *e)
{
    struct page_measure *m = page_measure(r);
    r->cursor = fmax(0, r->cursor + quarters);
    m->content = fmax(m->content, r->cursor);
    if (r->cursor <= longest_measure)
        return true;
    err_set(e, ERR_INPUT, "longer than %g quarters; no meter is", longest_measure);
    return page_refused(r, e);
}

bool page_begin_note(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    (void)x, (void)e;
    r->duration = 0;
    r->grace = r->chord = false;
    return true;
}

bool page_begin_grace(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    (void)x, (void)e;
    r->grace = true;
    return true;
}

bool page_begin_chord(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    (void)x, (void)e;
    r->chord = true;
    return true;
}

bool page_end_duration(struct page_reading *r, const char *text, struct err *e)
{
    double x;
    if (!page_number(text, 0, PAGE_MOST_UNITS, &x))
        return page_not_a(r, text, "a duration", e);
    r->duration = x / r->divisions[r->part - 1];
    return true;
}

bool page_end_note(struct page_reading *r, const char *text, struct err *e)
{
    (void)text;
    return r->grace || r->chord || move(r, r->duration, e);
}

bool page_end_backup(struct page_reading *r, const char *text, struct err *e)
{
    (void)text;
    return move(r, -r->duration, e);
}

bool page_end_forward(struct page_reading *r, const char *text, struct err *e)
{
    (void)text;
    return move(r, r->duration, e);
}

bool page_end_divisions(struct page_reading *r, const char *text, struct err *e)
{
    double x;
    if (!page_number(text, 1e-3, PAGE_MOST_UNITS, &x))
        return page_not_a(r, text, "divisions of a quarter", e);
    r->divisions[r->part - 1] = x;
    return true;
}

/* --- meters ---------------------------------------------------------------------------------- */

bool page_begin_time(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    (void)x, (void)e;
    r->n_meters = 0;
    r->beats = 0;
    return true;
}

/* "4", or "3+2" */
bool page_end_beats(struct page_reading *r, const char *text, struct err *e)
{
    enum { MOST = 255 };
    int sum = 0;
    const char *s = text;
    for (;;) {
        char *end;
        const long n = strtol(s, &end, 10);
        if (end == s || n < 1 || n > MOST || (sum += (int)n) > MOST)
            return page_not_a(r, text, "a meter's beats", e);
        s = end + strspn(end, " \t\r\n");
        if (*s != '+')
            break;
        s++;
    }
    r->beats = sum;
    return *s == '\0' || page_not_a(r, text, "a meter's beats", e);
}

bool page_end_beat_type(struct page_reading *r, const char *text, struct err *e)
{
    double x;
    int unit = 0;
    if (page_number(text, 1, 64, &x))
        for (int n = 1; n <= 64; n *= 2)
            unit = x == n ? n : unit;
    if (!unit || !r->beats || r->n_meters == PAGE_METERS)
        return page_not_a(r, text, "a meter's beat", e);
    r->meters[r->n_meters++] = (struct meter){r->beats, unit};
    r->beats = 0;
    return true;
}

bool page_end_senza_misura(struct page_reading *r, const char *text, struct err *e)
{
    (void)text;
    err_set(
        e, ERR_INPUT,
        "music without a meter has no counts; write it in measures (a hold stands in a table of "
        "sets)");
    return page_refused(r, e);
}

/* Of several parts the sum, in the smallest of their beats. */
bool page_end_time(struct page_reading *r, const char *text, struct err *e)
{
    struct meter sum = {0, 1};
    (void)text;
    for (size_t i = 0; i < r->n_meters; i++)
        if (r->meters[i].unit > sum.unit)
            sum.unit = r->meters[i].unit;
    for (size_t i = 0; i < r->n_meters; i++)
        sum.beats += r->meters[i].beats * (sum.unit / r->meters[i].unit);
    if (!sum.beats)
        return page_not_a(r, "", "a meter", e);
    if (!page_measure(r)->meter.beats)
        page_measure(r)->meter = sum;
    return true;
}
