/* What of a line of a fix list is a list in JSON. */
#include "base/number.h"
#include "paper/fixes.h"
#include "paper/json.h"

void fixes_performers_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->item->n_who; i++) {
        if (!l->item->who[i].performer)
            continue;
        const struct performer *p = &l->r->show->performers[l->item->who[i].position];
        json_t *one = json_object();
        json_object_set_new(one, "performer", json_text(p->label));
        json_object_set_new(one, "name", l->style->labels_only ? json_null() : json_text(p->name));
        json_object_set_new(one, "marks", json_integer(l->item->who[i].marks));
        json_array_append_new(list, one);
    }
    json_object_set_new(o, "performers", list);
}

void fixes_sections_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->item->n_who; i++) {
        if (l->item->who[i].performer)
            continue;
        json_t *one = json_object();
        json_object_set_new(one, "section",
                            json_text(l->r->show->sections[l->item->who[i].position].name));
        json_object_set_new(one, "marks", json_integer(l->item->who[i].marks));
        json_array_append_new(list, one);
    }
    json_object_set_new(o, "sections", list);
}

static json_t *moment_json(const struct fixes_line *l, const struct report_moment *m)
{
    const struct report_clip *c = &l->r->clips[m->at.clip];
    struct buf link = {0};
    moment_link(c->link, m->at.at_us, &link);
    json_t *one = json_object();
    json_object_set_new(one, "clip", json_text(c->label));
    json_object_set_new(one, "ms", json_integer(ms_of_us(m->at.at_us)));
    json_place(one, l->r->show, m->set, m->count);
    json_object_set_new(one, "link", json_text(buf_text(&link)));
    json_object_set_new(one, "note", json_text(m->note));
    json_object_set_new(one, "state", json_text(mark_state_name(m->state)));
    const struct mark mark = fixes_mark(m);
    json_measured(one, l->r->show, &mark);
    json_object_set_new(one, "mark", json_integer(m->mark));
    buf_free(&link);
    return one;
}

/* All of them, those of clean marks too: their state stands beside them. */
void fixes_moments_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->part->n_moments; i++) {
        const struct report_moment *m = &l->part->moments[i];
        if (m->fault == l->item->fault && m->praise == l->item->praise)
            json_array_append_new(list, moment_json(l, m));
    }
    json_object_set_new(o, "moments", list);
}

/* Marks of this line, clip by clip, with the minutes that were watched. */
void fixes_history_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->r->n_clips; i++) {
        const struct report_clip *c = &l->r->clips[i];
        json_t *one = json_object();
        json_object_set_new(one, "clip", json_text(c->label));
        json_object_set_new(one, "date", json_text(c->date));
        json_object_set_new(one, "marks", json_integer(l->item->per_clip[i]));
        json_object_set_new(one, "watched_minutes",
                            c->watched_min > 0 ? json_real(c->watched_min) : json_null());
        json_array_append_new(list, one);
    }
    json_object_set_new(o, "history", list);
}

void fixes_sets_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->item->n_sets; i++)
        json_array_append_new(list, json_text(l->r->show->sets[l->item->sets[i]].label));
    json_object_set_new(o, "sets", list);
}
