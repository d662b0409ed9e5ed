#include "score/page.h"

#include <stdlib.h>
#include <string.h>

#include "score/page_inner.h"

/* --- parts and measures ---------------------------------------------------------------------- */

static bool begin_part(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    (void)x;
    if (!r->timewise)
        r->measure = 0;
    r->cursor = 0;
    if (r->part == PAGE_PARTS)
        return err_set(e, ERR_INPUT, "more than %d parts", PAGE_PARTS);
    r->part++;
    if (r->divisions[r->part - 1] <= 0)
        r->divisions[r->part - 1] = 1;
    return true;
}

static bool begin_measure(struct page_reading *r, const struct xml_element *x, struct err *e)
{
    struct page *p = r->page;
    const char *number = xml_attribute(x, "number");
    r->cursor = 0;
    if (r->timewise)
        r->part = 0;
    if (r->measure == p->n_measures) {
        if (p->n_measures == SCORE_MEASURES)
            return err_set(e, ERR_INPUT, "more than %d measures; no show is so long",
                           SCORE_MEASURES);
        p->measures = array_grow(p->measures, p->n_measures, &p->cap_measures, sizeof *p->measures);
        const char *name = number ? draft_text(p->a, number, strnlen(number, 16)) : "";
        if (!*name)
            name = arena_printf(p->a, "%zu", p->n_measures + 1);
        p->measures[p->n_measures++] = (struct page_measure){.number = name, .times = 2};
    }
    r->measure++;
    return true;
}

/* --- the elements ---------------------------------------------------------------------------- */

static bool end_title(struct page_reading *r, const char *text, struct err *e)
{
    (void)e;
    if (!*r->page->title)
        r->page->title = draft_text(r->page->a, text, strlen(text));
    return true;
}

enum where { ANYWHERE, IN_SCORE, IN_MEASURE }; /* what must be open around it */

static const struct {
    const char *name, *parent; /* NULL: any */
    enum where where;
    page_begin_fn *begin;
    page_end_fn *end;
} elements[] = {
    {"work-title", "work", ANYWHERE, NULL, end_title},
    {"movement-title", NULL, ANYWHERE, NULL, end_title},
    {"part", NULL, IN_SCORE, begin_part, NULL},
    {"measure", NULL, IN_SCORE, begin_measure, NULL},
    {"divisions", "attributes", IN_MEASURE, NULL, page_end_divisions},
    {"time", "attributes", IN_MEASURE, page_begin_time, page_end_time},
    {"beats", "time", IN_MEASURE, NULL, page_end_beats},
    {"beat-type", "time", IN_MEASURE, NULL, page_end_beat_type},
    {"senza-misura", "time", IN_MEASURE, NULL, page_end_senza_misura},
    {"note", NULL, IN_MEASURE, page_begin_note, page_end_note},
    {"grace", "note", IN_MEASURE, page_begin_grace, NULL},
    {"chord", "note", IN_MEASURE, page_begin_chord, NULL},
    {"duration", NULL, IN_MEASURE, NULL, page_end_duration},
    {"backup", NULL, IN_MEASURE, page_begin_note, page_end_backup},
    {"forward", NULL, IN_MEASURE, page_begin_note, page_end_forward},
    {"direction", NULL, IN_MEASURE, page_begin_direction, page_end_direction},
    {"offset", NULL, IN_MEASURE, page_begin_offset, page_end_offset},
    {"rehearsal", NULL, IN_MEASURE, NULL, page_end_rehearsal},
    {"beat-unit", "metronome", IN_MEASURE, NULL, page_end_beat_unit},
    {"beat-unit-dot", "metronome", IN_MEASURE, page_begin_dot, NULL},
    {"per-minute", "metronome", IN_MEASURE, NULL, page_end_per_minute},
    {"words", "direction-type", IN_MEASURE, NULL, page_end_words},
    {"sound", NULL, IN_MEASURE, page_begin_sound, page_end_sound},
    {"repeat", "barline", IN_MEASURE, page_begin_repeat, NULL},
    {"ending", "barline", IN_MEASURE, page_begin_ending, NULL},
};

/* Is an element of the table where it means something? */
static bool in_place(const struct page_reading *r, size_t row)
{
    const bool open = r->timewise ? r->measure > 0 : r->part > 0;
    if (elements[row].parent && !page_within(r, elements[row].parent))
        return false;
    switch (elements[row].where) {
    case IN_MEASURE:
        return r->measure > 0 && r->part > 0;
    case IN_SCORE: /* the outer one of part and measure comes first */
        return open || strcmp(elements[row].name, r->timewise ? "measure" : "part") == 0;
    case ANYWHERE:
        break;
    }
    return true;
}

static bool begin_root(struct page_reading *r, const char *name, struct err *e)
{
    r->timewise = strcmp(name, "score-timewise") == 0;
    return r->timewise || strcmp(name, "score-partwise") == 0 ||
           err_set(e, ERR_INPUT,
                   "it is '%.40s', and not a score in MusicXML; export it as MusicXML or MIDI",
                   name);
}

static bool begin(void *ctx, const struct xml_element *x, struct err *e)
{
    struct page_reading *r = ctx;
    if (r->depth < PAGE_DEEPEST)
        strncpy(r->names[r->depth], x->name, sizeof r->names[0] - 1);
    r->depth++;
    if (r->depth == 1)
        return begin_root(r, x->name, e);
    for (size_t i = 0; i < sizeof elements / sizeof *elements; i++)
        if (elements[i].begin && strcmp(elements[i].name, x->name) == 0 && in_place(r, i))
            return elements[i].begin(r, x, e);
    return true;
}

static bool end(void *ctx, const char *name, const char *text, struct err *e)
{
    struct page_reading *r = ctx;
    bool ok = true;
    for (size_t i = 0; i < sizeof elements / sizeof *elements; i++)
        if (elements[i].end && strcmp(elements[i].name, name) == 0 && in_place(r, i)) {
            ok = elements[i].end(r, text, e);
            break;
        }
    r->depth--;
    return ok;
}

bool page_read(const struct table_text *file, struct page *out, struct err *e)
{
    struct page_reading *r = xcalloc(1, sizeof *r);
    out->source = file->source;
    out->title = "";
    r->page = out;
    bool ok = xml_read(file, &(struct xml_listener){r, begin, end}, e);
    if (ok && !out->n_measures)
        ok = err_set(e, ERR_INPUT, "%s: no measures; export the score again", file->source);
    free(r);
    return ok;
}

void page_free(struct page *p)
{
    free(p->measures);
    free(p->events);
    free(p->passed);
    p->measures = NULL;
    p->events = NULL;
    p->passed = NULL;
    p->n_passed = p->cap_passed = 0;
    p->n_measures = p->n_events = p->cap_measures = p->cap_events = 0;
}
