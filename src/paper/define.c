#include "paper/define.h"

#include "count/timecode.h"
#include "base/number.h"
#include "paper/json.h"
#include "paper/table.h"

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

/* --- columns --------------------------------------------------------------------------------- */

struct line {
    const struct fix_report *r;
    const struct rank_item *i;
};

static const struct fault *fault_of(const void *row)
{
    const struct line *l = row;
    return &l->r->show->faults[l->i->fault];
}

static void name(const void *row, struct buf *out)
{
    buf_str(out, fault_of(row)->name);
}

static void family(const void *row, struct buf *out)
{
    buf_str(out, fault_of(row)->family);
}

static bool marks(const void *row, double *out)
{
    *out = ((const struct line *)row)->i->marks;
    return true;
}

static void for_whom(const void *row, struct buf *out)
{
    const struct line *l = row;
    who_text(l->r->show, l->i, 999, out);
}

static void who_json(const void *row, json_t *o)
{
    const struct line *l = row;
    const struct show *show = l->r->show;
    json_t *who = json_array();
    for (size_t w = 0; w < l->i->n_who; w++) {
        const int at = l->i->who[w].position;
        json_array_append_new(who, json_pack("{s:s,s:i}", "target",
                                             l->i->who[w].performer ? show->performers[at].label
                                                                    : show->sections[at].name,
                                             "marks", l->i->who[w].marks));
    }
    json_object_set_new(o, "who", who);
}

static void right(const void *row, struct buf *out)
{
    buf_str(out, fault_of(row)->right);
}

static bool decided(const void *row, double *out)
{
    *out = fault_of(row)->decided;
    return true;
}

static void first_clip(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, l->r->clips[l->i->first.clip].label);
}

static bool first(const void *row, double *out)
{
    *out = (double)((const struct line *)row)->i->first.at_us / 1e6;
    return true;
}

static void first_link(const void *row, struct buf *out)
{
    const struct line *l = row;
    moment_link(l->r->clips[l->i->first.clip].link, l->i->first.at_us, out);
}

static void moments(const void *row, json_t *o)
{
    const struct fix_report *r = ((const struct line *)row)->r;
    const struct rank_item *i = ((const struct line *)row)->i;
    json_t *list = json_array();
    struct buf link = {0};
    for (size_t m = 0; m < r->own.n_moments; m++) {
        const struct report_moment *x = &r->own.moments[m];
        if (!is_of(x, i))
            continue;
        buf_clear(&link);
        moment_link(r->clips[x->at.clip].link, x->at.at_us, &link);
        json_t *one = json_object();
        json_object_set_new(one, "clip", json_text(r->clips[x->at.clip].label));
        json_object_set_new(one, "ms", json_integer(ms_of_us(x->at.at_us)));
        json_place(one, r->show, x->set, x->count);
        json_object_set_new(one, "link", json_text(buf_text(&link)));
        json_object_set_new(one, "note", json_text(x->note));
        json_array_append_new(list, one);
    }
    buf_free(&link);
    json_object_set_new(o, "moments", list);
}

const struct column define_columns[] = {
    {.name = "fault", .where = IN_BOTH, .cell = name, .help = "what is to be decided"},
    {.name = "family", .where = IN_JSON, .cell = family, .help = "its family"},
    {.name = "marks",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = marks,
     .help = "how many marks ask for it"},
    {.name = "for", .where = IN_CSV, .cell = for_whom, .help = "who, with how many marks"},
    {.name = "who", .where = IN_JSON, .json = who_json, .help = "who, with how many marks"},
    {.name = "right", .where = IN_BOTH, .cell = right, .help = "what right looks like so far"},
    {.name = "decided",
     .kind = COLUMN_TRUTH,
     .where = IN_BOTH,
     .number = decided,
     .help = "yes when the staff has decided"},
    {.name = "first_clip", .where = IN_CSV, .cell = first_clip, .help = "where it was seen first"},
    {.name = "first",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .number = first,
     .format = "%.3f",
     .help = "seconds"},
    {.name = "first_link", .where = IN_CSV, .cell = first_link, .help = "the clip at that moment"},
    {.name = "moments",
     .where = IN_JSON,
     .json = moments,
     .help = "every moment, with note and link"},
    {.name = NULL},
};

void define_csv(const struct fix_report *r, int only, struct buf *out)
{
    table_csv_head(define_columns, out);
    for (size_t k = 0; k < r->own.list.n_items; k++)
        if (wanted(&r->own.list.items[k], only))
            table_csv_row(define_columns, &(struct line){r, &r->own.list.items[k]}, out);
}

void define_json(const struct fix_report *r, int only, struct buf *out)
{
    json_t *root = json_object(), *items = json_array();
    for (size_t k = 0; k < r->own.list.n_items; k++)
        if (wanted(&r->own.list.items[k], only))
            json_array_append_new(
                items, table_json(define_columns, &(struct line){r, &r->own.list.items[k]}));
    json_object_set_new(root, "show", json_text(r->title));
    json_object_set_new(root, "for", json_text(report_for(r)));
    json_object_set_new(root, "items", items);
    json_put(root, out);
}
