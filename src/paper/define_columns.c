/* What a line of the list of decisions says: CSV, JSON, --help and the man page follow. */
#include "paper/define.h"
#include "paper/fixes.h"
#include "paper/json.h"
#include "paper/table.h"

static void name(const void *row, struct buf *out)
{
    buf_str(out, define_fault(row)->name);
}

static void family(const void *row, struct buf *out)
{
    buf_str(out, define_fault(row)->family);
}

static bool marks(const void *row, double *out)
{
    const struct rank_item *i = ((const struct define_line *)row)->item;
    *out = i->marks ? i->marks : i->clean;
    return true;
}

static void for_whom(const void *row, struct buf *out)
{
    const struct define_line *l = row;
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_who(l->r->show, l->item, WHO_ALL, 999, &f);
}

static void who_json(const void *row, json_t *o)
{
    const struct define_line *l = row;
    const struct show *show = l->r->show;
    json_t *who = json_array();
    for (size_t w = 0; w < l->item->n_who; w++) {
        const int at = l->item->who[w].position;
        json_array_append_new(who, json_pack("{s:s,s:i}", "target",
                                             l->item->who[w].performer ? show->performers[at].label
                                                                       : show->sections[at].name,
                                             "marks", l->item->who[w].marks));
    }
    json_object_set_new(o, "who", who);
}

static void right(const void *row, struct buf *out)
{
    buf_str(out, define_fault(row)->right);
}

static bool decided(const void *row, double *out)
{
    *out = ((const struct define_line *)row)->decided;
    return true;
}

static void decided_by(const void *row, struct buf *out)
{
    buf_str(out, ((const struct define_line *)row)->decided ? define_fault(row)->decided_by : "");
}

static void decided_at(const void *row, struct buf *out)
{
    const struct define_line *l = row;
    buf_str(out, l->decided ? l->d->days[l->fault] : "");
}

static void first_clip(const void *row, struct buf *out)
{
    const struct define_line *l = row;
    if (rank_seen(l->item))
        buf_str(out, l->r->clips[l->item->first.clip].label);
}

static bool first(const void *row, double *out)
{
    const struct define_line *l = row;
    *out = (double)l->item->first.at_us / 1e6;
    return rank_seen(l->item) > 0;
}

static void first_link(const void *row, struct buf *out)
{
    const struct define_line *l = row;
    if (rank_seen(l->item))
        moment_link(l->r->clips[l->item->first.clip].link, l->item->first.at_us, out);
}

static void moments(const void *row, struct buf *out)
{
    const struct fixes_line l = define_as_fixes(row);
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_where(&l, &f);
}

static void notes(const void *row, struct buf *out)
{
    const struct fixes_line l = define_as_fixes(row);
    fixes_notes(&l, out);
}

static void moments_json(const void *row, json_t *o)
{
    const struct fixes_line l = define_as_fixes(row);
    fixes_moments_json(&l, o);
}

const struct column define_columns[] = {
    {.name = "fault", .where = IN_BOTH, .cell = name, .help = "what is to be decided"},
    {.name = "family", .where = IN_BOTH, .cell = family, .help = "its family"},
    {.name = "marks",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = marks,
     .help = "how many marks ask for it"},
    {.name = "for", .where = IN_CSV, .cell = for_whom, .help = "who, with how many marks"},
    {.name = "who", .where = IN_JSON, .json = who_json, .help = ""},
    {.name = "right", .where = IN_BOTH, .cell = right, .help = "what right looks like so far"},
    {.name = "decided",
     .kind = COLUMN_TRUTH,
     .where = IN_BOTH,
     .number = decided,
     .help = "yes when the staff has decided"},
    {.name = "decided_by",
     .kind = COLUMN_MAYBE,
     .where = IN_BOTH,
     .cell = decided_by,
     .help = "who wrote it down"},
    {.name = "decided_at",
     .kind = COLUMN_MAYBE,
     .where = IN_BOTH,
     .cell = decided_at,
     .help = "and on which day"},
    {.name = "first_clip", .where = IN_BOTH, .cell = first_clip, .help = "where it was seen first"},
    {.name = "first",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = first,
     .format = "%.3f",
     .help = "seconds"},
    {.name = "first_link", .where = IN_BOTH, .cell = first_link, .help = "the clip at that moment"},
    {.name = "moments", .where = IN_CSV, .cell = moments, .help = "every moment, by set and count"},
    {.name = "moments", .where = IN_JSON, .json = moments_json, .help = ""},
    {.name = "notes", .where = IN_BOTH, .cell = notes, .help = "their notes"},
    {.name = NULL},
};

void define_csv(const struct define_report *d, struct buf *out)
{
    struct define_line l;
    table_csv_head(define_columns, out);
    for (size_t n = 0; define_line(d, n, &l); n++)
        table_csv_row(define_columns, &l, out);
}

void define_json(const struct define_report *d, struct buf *out)
{
    struct define_line l;
    json_t *root = json_object(), *items = json_array();
    for (size_t n = 0; define_line(d, n, &l); n++)
        json_array_append_new(items, table_json(define_columns, &l));
    json_object_set_new(root, "show", json_text(d->asked.title));
    json_object_set_new(root, "for", json_text(report_for(&d->asked)));
    json_object_set_new(root, "items", items);
    json_put(root, out);
}
