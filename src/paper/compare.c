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
    buf_str(out, label);
    for (size_t i = 0; i < s->n_clips; i++)
        buf_printf(out, " %s (%s)", s->clips[i].label, s->clips[i].date);
    if (s->watched_min > 0)
        buf_printf(out, ", %.1f of %.1f minutes watched\n", s->watched_min, s->length_min);
    else
        buf_str(out, ", no watching stored\n");
}

static void put_sets(const struct comparison *c, struct buf *out)
{
    int n = 0;
    for (size_t i = 0; i < c->show->n_sets; i++) {
        if (!c->set_compared[i])
            continue;
        const bool runs_on = i > 0 && c->set_compared[i - 1];
        const bool goes_on = i + 1 < c->show->n_sets && c->set_compared[i + 1];
        if (!runs_on)
            buf_printf(out, "%s%s", n++ ? ", " : "", c->show->sets[i].label);
        else if (!goes_on)
            buf_printf(out, "-%s", c->show->sets[i].label);
    }
    if (n == 0)
        buf_str(out, "none");
}

static void put_what(const struct comparison *c, struct buf *out)
{
    if (c->basis == COMPARE_ONE_TIED) {
        buf_str(out,
                "Not compared: clips of one side alone are tied to sets, so what both played is "
                "not known; tie the others: boxcall count SHOW CLIP tie TIME SET\n");
    } else if (!(c->from.compared_min > 0)) {
        buf_str(out, "Not compared: no watching of both is stored, of a set that both played; what "
                     "was watched elsewhere is entered with: boxcall watched SHOW CLIP FROM TO\n");
    } else if (c->basis == COMPARE_TIME) {
        buf_str(out,
                "Compared by time: no clip is tied to sets, so it is taken for granted that both "
                "played the same.\n");
    } else {
        buf_str(out, "Compared: what both played and somebody watched, set ");
        put_sets(c, out);
        buf_char(out, '\n');
    }
}

/* What the comparison rests on. */
static void put_basis(const struct comparison *c, struct buf *out)
{
    const int left_out = c->from.left_out + c->to.left_out;
    put_what(c, out);
    if (c->from.compared_min > 0)
        buf_printf(out, "Minutes compared: %.1f and %.1f%s", c->from.compared_min,
                   c->to.compared_min, left_out ? "; m" : ".\n");
    else if (left_out)
        buf_char(out, 'M');
    if (left_out)
        buf_printf(out, "arks left out: %d before, %d after.\n", c->from.left_out, c->to.left_out);
    if (c->other_eyes)
        buf_printf(
            out,
            "Nobody watched both. Two reviewers may see 30 %% less and 30 %% more than usual "
            "(our assumption), so only rates that differ by more than %.2f times count.\n",
            COMPARE_EYES);
}

static void put_change(const struct comparison *c, const struct change *x, struct buf *out)
{
    buf_str(out, "  ");
    pad_text(out, verdict_name(x->verdict), 11);
    pad_text(out, c->show->faults[x->fault].name, 28);
    buf_printf(out, "%4d -> %-4d", x->from_marks, x->to_marks);
    if (x->tested)
        buf_printf(out, "  p %.3g", x->p);
    if (x->from_counted != x->from_marks || x->to_counted != x->to_marks)
        buf_printf(out, "  (compared %d -> %d)", x->from_counted, x->to_counted);
    buf_char(out, '\n');
}

/* The words that the table uses. */
static void put_words(const struct comparison *c, struct buf *out)
{
    bool used[VERDICT_UNSURE + 1] = {false};
    for (size_t i = 0; i < c->n_parts; i++)
        for (size_t k = 0; k < c->parts[i].n; k++)
            used[c->parts[i].changes[k].verdict] = true;
    buf_str(out, "\nfewer, more, fixed, new: beyond noise (exact conditional test of two Poisson "
                 "rates,\nset by set; false discoveries held at 5 % over all lines, p adjusted for "
                 "that).\nMarks of one fault within 3 s count once in it.\n");
    if (c->dispersion > 1)
        buf_printf(out,
                   "Marks come in clusters here: the test allows for %.1f times the scatter.\n",
                   c->dispersion);
    if (used[VERDICT_FIRST])
        buf_str(out,
                "first seen: was not there before; that it is more than chance is not shown.\n");
    if (used[VERDICT_UNSEEN])
        buf_str(out, "unseen: was not seen; too few marks, or too little of it played again and "
                     "watched, to call it fixed.\n");
    if (used[VERDICT_UNSURE])
        buf_str(out, "unsure: the minutes that both played and the same person watched are not "
                     "known, so marks cannot be compared.\n");
}

void compare_text(const struct comparison *c, struct buf *out)
{
    buf_printf(out, "Compare   %s\n", c->title);
    put_choice(out, "from:", &c->from);
    put_choice(out, "to:  ", &c->to);
    put_basis(c, out);
    for (size_t i = 0; i < c->n_parts; i++) {
        buf_printf(out, "\n%s\n", who(c, i));
        for (size_t k = 0; k < c->parts[i].n; k++)
            put_change(c, &c->parts[i].changes[k], out);
        if (c->parts[i].n == 0)
            buf_str(out, "  no marks in either\n");
    }
    put_words(c, out);
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
    json_object_set_new(root, "items", items);
    json_put(root, out);
}
