#include "base/number.h"
#include "paper/json.h"

struct writing {
    const struct fix_report *r;
    const struct fixes_style *style;
};

static json_t *performers(const struct writing *w, const struct rank_item *item)
{
    json_t *list = json_array();
    for (size_t i = 0; i < item->n_who; i++) {
        if (!item->who[i].performer)
            continue;
        const struct performer *p = &w->r->show->performers[item->who[i].position];
        json_t *o = json_object();
        json_object_set_new(o, "performer", json_text(p->label));
        json_object_set_new(o, "name", w->style->labels_only ? json_null() : json_text(p->name));
        json_object_set_new(o, "marks", json_integer(item->who[i].marks));
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *sections(const struct writing *w, const struct rank_item *item)
{
    json_t *list = json_array();
    for (size_t i = 0; i < item->n_who; i++) {
        if (item->who[i].performer)
            continue;
        json_t *o = json_object();
        json_object_set_new(o, "section",
                            json_text(w->r->show->sections[item->who[i].position].name));
        json_object_set_new(o, "marks", json_integer(item->who[i].marks));
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *moments(const struct writing *w, const struct report_part *part,
                       const struct rank_item *item)
{
    json_t *list = json_array();
    struct buf link = {0};
    for (size_t i = 0; i < part->n_moments; i++) {
        const struct report_moment *m = &part->moments[i];
        if (m->fault != item->fault || m->praise != item->praise)
            continue;
        const struct report_clip *c = &w->r->clips[m->at.clip];
        buf_clear(&link);
        moment_link(c->link, m->at.at_us, &link);
        json_t *o = json_object();
        json_object_set_new(o, "clip", json_text(c->label));
        json_object_set_new(o, "ms", json_integer(ms_of_us(m->at.at_us)));
        json_place(o, w->r->show, m->set, m->count);
        json_object_set_new(o, "link", json_text(buf_text(&link)));
        json_object_set_new(o, "note", json_text(m->note));
        json_object_set_new(o, "mark", json_integer(m->mark));
        json_array_append_new(list, o);
    }
    buf_free(&link);
    return list;
}

/* The letters of the brackets that join this line with its neighbours. */
static json_t *joined(const struct rank_item *item)
{
    char letters[33] = "";
    for (int k = 0, n = 0; k < 26; k++)
        if (item->joined & 1u << k) {
            letters[n++] = (char)('a' + k);
            letters[n] = '\0';
        }
    return json_text(letters);
}

/* Marks of this line, clip by clip, with the minutes that were watched. */
static json_t *history(const struct writing *w, const struct rank_item *item)
{
    json_t *list = json_array();
    for (size_t i = 0; i < w->r->n_clips; i++) {
        const struct report_clip *c = &w->r->clips[i];
        json_t *o = json_object();
        json_object_set_new(o, "clip", json_text(c->label));
        json_object_set_new(o, "date", json_text(c->date));
        json_object_set_new(o, "marks", json_integer(item->per_clip[i]));
        json_object_set_new(o, "watched_minutes",
                            c->watched_min > 0 ? json_real(c->watched_min) : json_null());
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *one_item(const struct writing *w, const struct report_part *part,
                        const struct rank_item *item)
{
    const struct show *show = w->r->show;
    const struct fault *f = &show->faults[item->fault];
    json_t *o = json_object(), *sets = json_array();
    for (size_t i = 0; i < item->n_sets; i++)
        json_array_append_new(sets, json_text(show->sets[item->sets[i]].label));
    json_object_set_new(o, "rank", json_integer(item->rank));
    json_object_set_new(o, "fault", json_text(f->name));
    json_object_set_new(o, "family", json_text(f->family));
    json_object_set_new(
        o, "target",
        json_text(part == &w->r->own ? report_for(w->r) : show->sections[part->section].name));
    json_object_set_new(o, "marks",
                        json_integer(item->praise ? item->marks + item->clean : item->marks));
    json_object_set_new(o, "runs", json_integer(item->runs));
    json_object_set_new(o, "runs_total", json_integer((json_int_t)w->r->n_clips));
    json_object_set_new(o, "severity", json_integer(item->severity));
    json_object_set_new(o, "cause", json_text(cause_name(item->cause)));
    json_object_set_new(o, "state", json_text(mark_state_name(item->state)));
    json_object_set_new(o, "state_by", *item->state_by ? json_text(item->state_by) : json_null());
    json_object_set_new(o, "state_at", *item->state_at ? json_text(item->state_at) : json_null());
    json_object_set_new(o, "back", json_boolean(item->back));
    json_object_set_new(o, "rate", item->rated ? json_real(item->rate) : json_null());
    json_object_set_new(o, "rate_low", item->rated ? json_real(item->rate_low) : json_null());
    json_object_set_new(o, "rate_high", item->rated ? json_real(item->rate_high) : json_null());
    json_object_set_new(o, "joined", joined(item));
    json_object_set_new(o, "late_counts", item->timed ? json_real(item->late) : json_null());
    json_object_set_new(o, "late_error", item->timed ? json_real(item->late_error) : json_null());
    json_object_set_new(o, "history", history(w, item));
    json_object_set_new(o, "right", json_text(f->right));
    json_object_set_new(o, "sets", sets);
    json_object_set_new(o, "performers", performers(w, item));
    json_object_set_new(o, "sections", sections(w, item));
    json_object_set_new(o, "moments", moments(w, part, item));
    return o;
}

static json_t *items(const struct writing *w, const struct report_part *part,
                     const struct rank_item *at, size_t n)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++)
        json_array_append_new(list, one_item(w, part, &at[i]));
    return list;
}

static json_t *clips(const struct fix_report *r)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->n_clips; i++)
        json_array_append_new(list, json_text(r->clips[i].label));
    return list;
}

void fixes_json(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    struct writing w = {r, style};
    json_t *root = json_object(), *with = json_array();
    for (size_t i = 0; i < r->n_with; i++) {
        const struct report_part *p = &r->with[i];
        json_t *o = json_object();
        json_object_set_new(o, "section", json_text(r->show->sections[p->section].name));
        json_object_set_new(o, "keep", items(&w, p, p->list.keep, p->list.n_keep));
        json_object_set_new(o, "items", items(&w, p, p->list.items, p->list.n_items));
        json_array_append_new(with, o);
    }
    json_object_set_new(root, "show", json_text(r->title));
    json_object_set_new(root, "for", json_text(report_for(r)));
    json_object_set_new(root, "clips", clips(r));
    json_object_set_new(root, "by", json_text(rank_by_name(r->own.list.by)));
    json_object_set_new(root, "rule", json_text(rank_rule(r->own.list.by)));
    json_object_set_new(root, "watched_minutes",
                        r->watched_min > 0 ? json_real(r->watched_min) : json_null());
    json_object_set_new(root, "clip_minutes", json_real(r->length_min));
    json_object_set_new(root, "rests_on_little", json_boolean(report_rests_on_little(r)));
    json_object_set_new(root, "share_items", json_integer((json_int_t)r->own.list.share_items));
    json_object_set_new(root, "keep", items(&w, &r->own, r->own.list.keep, r->own.list.n_keep));
    json_object_set_new(root, "items", items(&w, &r->own, r->own.list.items, r->own.list.n_items));
    json_object_set_new(root, "with", with);
    json_put(root, out);
}
