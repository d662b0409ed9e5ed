#include <math.h>

#include "paper/compare.h"
#include "paper/json.h"
#include "paper/table.h"

static const char *who(const struct comparison *c, size_t i)
{
    const struct compared *p = &c->parts[i];
    return p->performer >= 0 ? c->show->performers[p->performer].label
                             : c->show->sections[p->section].name;
}

static void put_choice(struct buf *out, const char *label, const struct comparison_side *s)
{
    buf_printf(out, "%s:", label);
    for (size_t i = 0; i < s->n_clips; i++)
        buf_printf(out, " %s (%s)", s->clips[i].label, s->clips[i].date);
    if (s->watched_min > 0)
        buf_printf(out, ", %.1f of %.1f minutes watched\n", s->watched_min, s->length_min);
    else
        buf_str(out, ", no watching stored\n");
}

void compare_text(const struct comparison *c, struct buf *out)
{
    bool unseen = false, unsure = false, first = false;
    buf_printf(out, "Compare   %s\n", c->title);
    put_choice(out, "from", &c->from);
    put_choice(out, "to  ", &c->to);
    for (size_t i = 0; i < c->n_parts; i++) {
        buf_printf(out, "\n%s\n", who(c, i));
        for (size_t k = 0; k < c->parts[i].n; k++) {
            const struct change *x = &c->parts[i].changes[k];
            unseen |= x->verdict == VERDICT_UNSEEN;
            unsure |= x->verdict == VERDICT_UNSURE;
            first |= x->verdict == VERDICT_FIRST;
            buf_str(out, "  ");
            pad_text(out, verdict_name(x->verdict), 11);
            pad_text(out, c->show->faults[x->fault].name, 28);
            buf_printf(out, "%4d -> %-4d", x->from_marks, x->to_marks);
            if (x->tested)
                buf_printf(out, "  p %.3g", x->p);
            buf_char(out, '\n');
        }
        if (c->parts[i].n == 0)
            buf_str(out, "  no marks in either\n");
    }
    buf_str(out, "\nfewer, more, fixed, new: beyond noise (exact conditional test of two Poisson "
                 "rates;\nfalse discoveries held at 5 % over all lines, p adjusted for that).\n");
    if (first)
        buf_str(out,
                "first seen: was not there before; that it is more than chance is not shown.\n");
    if (unseen)
        buf_str(out,
                "unseen: was not seen; too few marks, or too little watched, to call it fixed.\n");
    if (unsure)
        buf_str(out, "unsure: the watched minutes are not known, so marks cannot be compared.\n");
}

/* --- columns --------------------------------------------------------------------------------- */

struct line {
    const struct comparison *c;
    size_t part;
    const struct change *x;
};

static void target(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, who(l->c, l->part));
}

static void fault(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, l->c->show->faults[l->x->fault].name);
}

static void verdict(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, verdict_name(l->x->verdict));
}

static bool from_marks(const void *row, double *out)
{
    *out = ((const struct line *)row)->x->from_marks;
    return true;
}

static bool to_marks(const void *row, double *out)
{
    *out = ((const struct line *)row)->x->to_marks;
    return true;
}

static bool from_minutes(const void *row, double *out)
{
    *out = ((const struct line *)row)->c->from.watched_min;
    return true;
}

static bool to_minutes(const void *row, double *out)
{
    *out = ((const struct line *)row)->c->to.watched_min;
    return true;
}

/* Without a rate before, the ratio has no end. */
static bool tested(const struct line *l, double x, double *out)
{
    *out = x;
    return l->x->tested && isfinite(x);
}

static bool ratio(const void *row, double *out)
{
    const struct line *l = row;
    return tested(l, l->x->rates.ratio, out);
}

static bool ratio_low(const void *row, double *out)
{
    const struct line *l = row;
    return tested(l, l->x->rates.low, out);
}

static bool ratio_high(const void *row, double *out)
{
    const struct line *l = row;
    return tested(l, l->x->rates.high, out);
}

static bool p_value(const void *row, double *out)
{
    const struct line *l = row;
    return tested(l, l->x->rates.p, out);
}

static bool p_adjusted(const void *row, double *out)
{
    const struct line *l = row;
    return tested(l, l->x->p, out);
}

const struct column compare_columns[] = {
    {.name = "who",
     .key = "target",
     .where = IN_BOTH,
     .cell = target,
     .help = "a section or a performer"},
    {.name = "fault", .where = IN_BOTH, .cell = fault, .help = "the fault"},
    {.name = "verdict",
     .where = IN_BOTH,
     .cell = verdict,
     .help = "fixed, fewer, same, more, new, first seen, unseen or unsure"},
    {.name = "from_marks",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = from_marks,
     .help = "marks before, clean ones too"},
    {.name = "from_minutes",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .number = from_minutes,
     .format = "%.4g",
     .help = "minutes watched before"},
    {.name = "to_marks",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = to_marks,
     .help = "marks after"},
    {.name = "to_minutes",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .number = to_minutes,
     .format = "%.4g",
     .help = "minutes watched after"},
    {.name = "ratio",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = ratio,
     .format = "%.6g",
     .help = "marks a minute, after to before; empty where it has no end"},
    {.name = "ratio_low",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = ratio_low,
     .format = "%.6g",
     .help = "its 95 % interval"},
    {.name = "ratio_high",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = ratio_high,
     .format = "%.6g",
     .help = "its 95 % interval"},
    {.name = "p",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = p_value,
     .format = "%.6g",
     .help = "how often chance alone does as much"},
    {.name = "p_adjusted",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = p_adjusted,
     .format = "%.6g",
     .help = "the same with all lines of the comparison in mind; the verdict's"},
    {.name = NULL},
};

void compare_csv(const struct comparison *c, struct buf *out)
{
    table_csv_head(compare_columns, out);
    for (size_t i = 0; i < c->n_parts; i++)
        for (size_t k = 0; k < c->parts[i].n; k++)
            table_csv_row(compare_columns, &(struct line){c, i, &c->parts[i].changes[k]}, out);
}

static json_t *side(const struct comparison_side *s)
{
    json_t *o = json_object(), *clips = json_array();
    for (size_t i = 0; i < s->n_clips; i++)
        json_array_append_new(clips, json_text(s->clips[i].label));
    json_object_set_new(o, "clips", clips);
    json_object_set_new(o, "watched_minutes",
                        s->watched_min > 0 ? json_real(s->watched_min) : json_null());
    json_object_set_new(o, "clip_minutes", json_real(s->length_min));
    return o;
}

void compare_json(const struct comparison *c, struct buf *out)
{
    json_t *root = json_object(), *items = json_array();
    for (size_t i = 0; i < c->n_parts; i++)
        for (size_t k = 0; k < c->parts[i].n; k++)
            json_array_append_new(
                items, table_json(compare_columns, &(struct line){c, i, &c->parts[i].changes[k]}));
    json_object_set_new(root, "show", json_text(c->title));
    json_object_set_new(root, "for", *c->for_whom ? json_text(c->for_whom) : json_null());
    json_object_set_new(root, "from", side(&c->from));
    json_object_set_new(root, "to", side(&c->to));
    json_object_set_new(root, "items", items);
    json_put(root, out);
}
