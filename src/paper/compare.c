#include <math.h>

#include "paper/compare.h"
#include "paper/json.h"

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
    bool unseen = false, unsure = false;
    buf_printf(out, "Compare   %s\n", c->title);
    put_choice(out, "from", &c->from);
    put_choice(out, "to  ", &c->to);
    for (size_t i = 0; i < c->n_parts; i++) {
        buf_printf(out, "\n%s\n", who(c, i));
        for (size_t k = 0; k < c->parts[i].n; k++) {
            const struct change *x = &c->parts[i].changes[k];
            unseen |= x->verdict == VERDICT_UNSEEN;
            unsure |= x->verdict == VERDICT_UNSURE;
            buf_str(out, "  ");
            pad_text(out, verdict_name(x->verdict), 8);
            pad_text(out, c->show->faults[x->fault].name, 28);
            buf_printf(out, "%4d -> %-4d", x->from_marks, x->to_marks);
            if (x->tested)
                buf_printf(out, "  p %.3g", x->rates.p);
            buf_char(out, '\n');
        }
        if (c->parts[i].n == 0)
            buf_str(out, "  no marks in either\n");
    }
    buf_str(out, "\nfewer, more, fixed: beyond noise (exact conditional test of two Poisson rates, "
                 "p < 0.05).\n");
    if (unseen)
        buf_str(out, "unseen: was not seen, but too little was watched to call it fixed.\n");
    if (unsure)
        buf_str(out, "unsure: the watched minutes are not known, so marks cannot be compared.\n");
}

/* Without a rate before, the ratio has no end: an empty cell, as in JSON null. */
static void put_number(const struct change *x, double value, const char *behind, struct buf *out)
{
    if (x->tested && isfinite(value))
        buf_printf(out, "%.6g", value);
    buf_str(out, behind);
}

void compare_csv(const struct comparison *c, struct buf *out)
{
    buf_str(out, "who,fault,verdict,from_marks,from_minutes,to_marks,to_minutes,ratio,ratio_low,"
                 "ratio_high,p\r\n");
    for (size_t i = 0; i < c->n_parts; i++)
        for (size_t k = 0; k < c->parts[i].n; k++) {
            const struct change *x = &c->parts[i].changes[k];
            csv_cell(out, who(c, i), true);
            csv_cell(out, c->show->faults[x->fault].name, false);
            csv_cell(out, verdict_name(x->verdict), false);
            buf_printf(out, ",%d,%.4g,%d,%.4g,", x->from_marks, c->from.watched_min, x->to_marks,
                       c->to.watched_min);
            put_number(x, x->rates.ratio, ",", out);
            put_number(x, x->rates.low, ",", out);
            put_number(x, x->rates.high, ",", out);
            put_number(x, x->rates.p, "", out);
            csv_end(out);
        }
}

static json_t *number(double x)
{
    return isfinite(x) ? json_real(x) : json_null();
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
        for (size_t k = 0; k < c->parts[i].n; k++) {
            const struct change *x = &c->parts[i].changes[k];
            json_t *o = json_object();
            json_object_set_new(o, "target", json_text(who(c, i)));
            json_object_set_new(o, "fault", json_text(c->show->faults[x->fault].name));
            json_object_set_new(o, "verdict", json_text(verdict_name(x->verdict)));
            json_object_set_new(o, "from_marks", json_integer(x->from_marks));
            json_object_set_new(o, "to_marks", json_integer(x->to_marks));
            json_object_set_new(o, "ratio", x->tested ? number(x->rates.ratio) : json_null());
            json_object_set_new(o, "ratio_low", x->tested ? number(x->rates.low) : json_null());
            json_object_set_new(o, "ratio_high", x->tested ? number(x->rates.high) : json_null());
            json_object_set_new(o, "p", x->tested ? number(x->rates.p) : json_null());
            json_array_append_new(items, o);
        }
    json_object_set_new(root, "show", json_text(c->title));
    json_object_set_new(root, "for", *c->for_whom ? json_text(c->for_whom) : json_null());
    json_object_set_new(root, "from", side(&c->from));
    json_object_set_new(root, "to", side(&c->to));
    json_object_set_new(root, "items", items);
    json_put(root, out);
}
