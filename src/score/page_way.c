#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "score/page_inner.h"

/* --- sound: tempo and jumps ------------------------------------------------------------------ */

static void keep_name(struct page_reading *r, const struct xml_element *x, const char *attribute,
                      const char **into)
{
    const char *name = xml_attribute(x, attribute);
    if (name)
        *into = draft_text(r->page->a, name, strlen(name));
}

static bool says_yes(const struct xml_element *x, const char *attribute)
{
    const char *value = xml_attribute(x, attribute);
    return value && strcmp(value, "no") != 0;
}

bool page_begin_sound(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    struct page_measure *m = page_measure(r);
    const char *tempo = xml_attribute(x, "tempo");
    r->bare = !r->in_direction;
    if (r->bare)
        page_begin_direction(r, x, e);
    if (tempo && !page_number(tempo, 0, PAGE_MOST_UNITS, &r->tempo))
        return page_not_a(r, tempo, "a tempo", e);
    keep_name(r, x, "segno", &m->segno);
    keep_name(r, x, "coda", &m->coda);
    keep_name(r, x, "dalsegno", &m->dalsegno);
    keep_name(r, x, "tocoda", &m->tocoda);
    m->dacapo = m->dacapo || says_yes(x, "dacapo");
    m->fine = m->fine || says_yes(x, "fine");
    m->forward = m->forward || says_yes(x, "forward-repeat");
    return true;
}

bool page_end_sound(struct page_reading *r, const char *text, struct err *e)
{
    return !r->bare || page_end_direction(r, text, e);
}

/* --- barlines -------------------------------------------------------------------------------- */

bool page_begin_repeat(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    enum { MOST = 63 };
    struct page_measure *m = page_measure(r);
    const char *way = xml_attribute(x, "direction"), *times = xml_attribute(x, "times");
    double n = 2;
    if (way && strcmp(way, "forward") == 0) {
        m->forward = true;
        return true;
    }
    if (times && (!page_number(times, 1, MOST, &n) || n != floor(n)))
        return page_not_a(r, times, "how often a repeat is played", e);
    m->backward = true;
    m->times = (int)n;
    m->after_jump = m->after_jump || says_yes(x, "after-jump");
    return true;
}

/* "1", "1, 2" */
static bool endings(const char *text, uint64_t *out)
{
    enum { MOST = 62 };
    *out = 0;
    for (const char *s = text; *s;) {
        char *end;
        const long n = strtol(s, &end, 10);
        if (end == s || n < 1 || n > MOST)
            return false;
        *out |= UINT64_C(1) << n;
        s = end + strspn(end, ", \t");
    }
    return *out != 0;
}

bool page_begin_ending(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    const char *number = xml_attribute(x, "number"), *type = xml_attribute(x, "type");
    if (!type || strcmp(type, "start") != 0) {
        page_measure(r)->ending_stop = true;
        return true;
    }
    return endings(number ? number : "", &page_measure(r)->ending) ||
           page_not_a(r, number ? number : "", "the number of an ending", e);
}
