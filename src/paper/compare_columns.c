/* What a line of a comparison says: CSV, JSON, --help and the man page follow. */
#include <math.h>

#include "paper/compare.h"
#include "paper/json.h"
#include "paper/table.h"

struct line {
    const struct comparison *c;
    size_t part;
    const struct change *x;
};

static void target(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, compare_who(l->c, l->part));
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

static bool from_counted(const void *row, double *out)
{
    *out = ((const struct line *)row)->x->from_counted;
    return true;
}

static bool to_counted(const void *row, double *out)
{
    *out = ((const struct line *)row)->x->to_counted;
    return true;
}

static bool from_seen(const void *row, double *out)
{
    *out = ((const struct line *)row)->x->from_seen;
    return true;
}

static bool to_seen(const void *row, double *out)
{
    *out = ((const struct line *)row)->x->to_seen;
    return true;
}

static bool from_minutes(const void *row, double *out)
{
    *out = ((const struct line *)row)->c->from.compared_min;
    return true;
}

static bool to_minutes(const void *row, double *out)
{
    *out = ((const struct line *)row)->c->to.compared_min;
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
     .help = "minutes compared before, of all reviewers"},
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
     .help = "minutes compared after, of all reviewers"},
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
     .help = "how often chance alone does as much to marks that come singly"},
    {.name = "p_adjusted",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = p_adjusted,
     .format = "%.6g",
     .help = "of sightings, with all lines of the comparison in mind; the verdict's"},
    {.name = "from_compared",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = from_counted,
     .help = "marks before that are compared: in sets that both played"},
    {.name = "to_compared",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = to_counted,
     .help = "marks after that are compared"},
    {.name = "from_sightings",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = from_seen,
     .help = "of them, marks within 3 s taken as one"},
    {.name = "to_sightings",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = to_seen,
     .help = "of them, marks within 3 s taken as one"},
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
    json_object_set_new(o, "compared_minutes", json_real(s->compared_min));
    json_object_set_new(o, "marks_left_out", json_integer(s->left_out));
    return o;
}

static json_t *sets_compared(const struct comparison *c)
{
    json_t *sets = json_array();
    for (size_t i = 0; c->basis == COMPARE_SETS && i < c->show->n_sets; i++)
        if (c->set_compared[i])
            json_array_append_new(sets, json_text(c->show->sets[i].label));
    return sets;
}

void compare_json(const struct comparison *c, struct buf *out)
{
    static const char *const basis[] = {
        [COMPARE_SETS] = "sets", [COMPARE_TIME] = "time", [COMPARE_ONE_TIED] = "nothing"};
    json_t *root = json_object(), *items = json_array();
    for (size_t i = 0; i < c->n_parts; i++)
        for (size_t k = 0; k < c->parts[i].n; k++)
            json_array_append_new(
                items, table_json(compare_columns, &(struct line){c, i, &c->parts[i].changes[k]}));
    json_object_set_new(root, "show", json_text(c->title));
    json_object_set_new(root, "for", *c->for_whom ? json_text(c->for_whom) : json_null());
    json_object_set_new(root, "from", side(&c->from));
    json_object_set_new(root, "to", side(&c->to));
    json_object_set_new(root, "basis", json_text(basis[c->basis]));
    json_object_set_new(root, "sets", sets_compared(c));
    json_object_set_new(root, "other_eyes", json_boolean(c->other_eyes));
    json_object_set_new(root, "dispersion", json_real(c->dispersion));
    json_object_set_new(root, "marks_for_halving",
                        isfinite(c->halving) ? json_real(ceil(c->halving)) : json_null());
    json_object_set_new(root, "items", items);
    json_put(root, out);
}
