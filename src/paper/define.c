#include "paper/define.h"

#include "count/timecode.h"
#include "base/number.h"
#include "paper/json.h"

static bool wanted(const struct rank_item *i, int only)
{
    return i->cause == CAUSE_DEFINE && i->marks > 0 && (only < 0 || i->fault == only);
}

static bool is_of(const struct report_moment *m, const struct rank_item *i)
{
    return m->fault == i->fault && !m->praise;
}

void define_text(const struct fix_report *r, int only, struct buf *out)
{
    size_t n = 0;
    buf_printf(out, "To decide: %s   %s\n", report_for(r), r->title);
    for (size_t k = 0; k < r->own.list.n_items; k++) {
        const struct rank_item *i = &r->own.list.items[k];
        const struct fault *f = &r->show->faults[i->fault];
        if (!wanted(i, only))
            continue;
        n++;
        buf_printf(out, "\n%s: %d mark%s, for ", f->name, i->marks, i->marks == 1 ? "" : "s");
        who_text(r->show, i, 8, out);
        buf_printf(out, "\n  %s: %s\n ", f->decided ? "decided" : "so far", f->right);
        for (size_t m = 0; m < r->own.n_moments; m++) {
            const struct report_moment *x = &r->own.moments[m];
            char time[24];
            if (!is_of(x, i))
                continue;
            time_format_short(x->at.at_us, time);
            buf_printf(out, " %s %s%s", r->clips[x->at.clip].label, time, *x->note ? " (" : "");
            put_text(out, x->note);
            buf_str(out, *x->note ? ")" : "");
        }
        buf_char(out, '\n');
    }
    if (n == 0)
        buf_str(out, "\nNothing waits for a decision.\n");
}

void define_csv(const struct fix_report *r, int only, struct buf *out)
{
    struct buf cell = {0};
    buf_str(out, "fault,marks,for,right,decided,first_clip,first,first_link\r\n");
    for (size_t k = 0; k < r->own.list.n_items; k++) {
        const struct rank_item *i = &r->own.list.items[k];
        const struct fault *f = &r->show->faults[i->fault];
        if (!wanted(i, only))
            continue;
        csv_cell(out, f->name, true);
        buf_printf(out, ",%d", i->marks);
        buf_clear(&cell);
        who_text(r->show, i, 999, &cell);
        csv_cell(out, buf_text(&cell), false);
        csv_cell(out, f->right, false);
        csv_cell(out, f->decided ? "yes" : "", false);
        csv_cell(out, r->clips[i->first.clip].label, false);
        buf_printf(out, ",%.3f", (double)i->first.at_us / 1e6);
        buf_clear(&cell);
        moment_link(r->clips[i->first.clip].link, i->first.at_us, &cell);
        csv_cell(out, buf_text(&cell), false);
        csv_end(out);
    }
    buf_free(&cell);
}

static json_t *moments(const struct fix_report *r, const struct rank_item *i)
{
    json_t *list = json_array();
    struct buf link = {0};
    for (size_t m = 0; m < r->own.n_moments; m++) {
        const struct report_moment *x = &r->own.moments[m];
        if (!is_of(x, i))
            continue;
        buf_clear(&link);
        moment_link(r->clips[x->at.clip].link, x->at.at_us, &link);
        json_t *o = json_object();
        json_object_set_new(o, "clip", json_text(r->clips[x->at.clip].label));
        json_object_set_new(o, "ms", json_integer(ms_of_us(x->at.at_us)));
        json_place(o, r->show, x->set, x->count);
        json_object_set_new(o, "link", json_text(buf_text(&link)));
        json_object_set_new(o, "note", json_text(x->note));
        json_array_append_new(list, o);
    }
    buf_free(&link);
    return list;
}

void define_json(const struct fix_report *r, int only, struct buf *out)
{
    json_t *root = json_object(), *items = json_array();
    for (size_t k = 0; k < r->own.list.n_items; k++) {
        const struct rank_item *i = &r->own.list.items[k];
        const struct fault *f = &r->show->faults[i->fault];
        if (!wanted(i, only))
            continue;
        json_t *o = json_object(), *who = json_array();
        for (size_t w = 0; w < i->n_who; w++)
            json_array_append_new(who, json_pack("{s:s,s:i}", "target",
                                                 i->who[w].performer
                                                     ? r->show->performers[i->who[w].position].label
                                                     : r->show->sections[i->who[w].position].name,
                                                 "marks", i->who[w].marks));
        json_object_set_new(o, "fault", json_text(f->name));
        json_object_set_new(o, "family", json_text(f->family));
        json_object_set_new(o, "marks", json_integer(i->marks));
        json_object_set_new(o, "who", who);
        json_object_set_new(o, "right", json_text(f->right));
        json_object_set_new(o, "decided", json_boolean(f->decided));
        json_object_set_new(o, "moments", moments(r, i));
        json_array_append_new(items, o);
    }
    json_object_set_new(root, "show", json_text(r->title));
    json_object_set_new(root, "for", json_text(report_for(r)));
    json_object_set_new(root, "items", items);
    json_put(root, out);
}
