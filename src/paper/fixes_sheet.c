/* The fix list as a section's sheet: all that a section leader needs to rehearse from it. */
#include "base/utf8.h"
#include "paper/fixes.h"

enum { WIDTH = 80, INDENT = 4, HANG = 6 };

/* Room for a mark that is put right behind a word. */
static int width_of(const struct fixes_style *style)
{
    return (style->width > 40 ? style->width : WIDTH) - 1;
}

static struct flow begin(const struct fixes_line *l, struct buf *out)
{
    buf_printf(out, "%*s", INDENT, "");
    return flow_from(out, width_of(l->style), INDENT, HANG);
}

/* " 1  late arrival !!!  3 marks in 2 of 3 runs: T7 ×2, trumpets ×1" */
static void put_head(const struct fixes_line *l, struct buf *out)
{
    const struct rank_item *i = l->item;
    const int from = (int)out->n;
    buf_printf(out, "%2d  ", i->rank);
    struct flow f = flow_from(out, width_of(l->style), utf8_width(out->p + from), HANG);
    flow_text(&f, l->r->show->faults[i->fault].name);
    flow_word(&f, i->severity >= 3 ? "!!!" : i->severity == 2 ? "!!" : "!", NULL);
    if (i->cause == CAUSE_DEFINE)
        flow_word(&f, "(define)", NULL);
    flow_word(&f, "", NULL);
    fixes_often(l, &f);
    buf_char(out, ':');
    f.col++;
    fixes_who(l->r->show, i, WHO_ALL, 999, &f);
    flow_end(&f);
}

static void put_notes(const struct fixes_line *l, struct buf *out)
{
    const struct report_moment *m;
    for (size_t at = 0; (m = fixes_next(l, &at));)
        if (*m->note) {
            struct flow f = begin(l, out);
            fixes_note(l, m, &f);
            flow_end(&f);
        }
}

/* How often a minute, and clip by clip. */
static void put_numbers(const struct fixes_line *l, struct buf *out)
{
    const struct rank_item *i = l->item;
    struct buf text = {0};
    if (i->rated)
        buf_printf(&text, "%.2g a minute (%.2g to %.2g)", i->rate, i->rate_low, i->rate_high);
    if (i->n_brackets) {
        buf_str(&text, text.n ? ", " : "");
        rank_joined_text(i, &text);
    }
    if (l->r->n_clips > 1) {
        buf_printf(&text, "%sclip by clip:", text.n ? "; " : "");
        for (size_t k = 0; k < l->r->n_clips; k++)
            buf_printf(&text, " %d", i->per_clip[k]);
    }
    if (text.n) {
        struct flow f = begin(l, out);
        flow_text(&f, text.p);
        flow_end(&f);
    }
    buf_free(&text);
}

/* "[open since 2026-11-24]" */
static void put_state(const struct fixes_line *l, struct flow *f)
{
    struct buf text = {0};
    struct flow state = flow_from(&text, 0, 0, 0);
    buf_char(&text, '[');
    fixes_state(l, &state);
    buf_char(&text, ']');
    flow_text(f, text.p);
    flow_end(f);
    buf_free(&text);
}

static void put_line(const struct fixes_line *l, struct buf *out)
{
    const struct fault *fault = &l->r->show->faults[l->item->fault];
    put_head(l, out);
    struct flow where = begin(l, out);
    fixes_where(l, &where);
    flow_end(&where);
    put_notes(l, out);
    struct flow f = begin(l, out);
    if (fixes_measured(l, &f)) {
        flow_end(&f);
        f = begin(l, out);
    }
    if (*fault->right) {
        flow_text(&f, fault->decided ? "decided:" : "right:");
        flow_text(&f, fault->right);
    }
    put_state(l, &f);
    if (l->style->numbers)
        put_numbers(l, out);
}

/* "Keep: impact ×2 (set 11, count 3: 1:16.6), ..." */
static void put_keep(const struct fix_report *r, const struct report_part *part,
                     const struct fixes_style *style, struct buf *out)
{
    const struct rank_list *list = &part->list;
    if (!list->n_keep)
        return;
    buf_str(out, "Keep");
    struct flow f = flow_from(out, width_of(style), INDENT, HANG);
    f.begun = true;
    for (size_t i = 0; i < list->n_keep; i++) {
        const struct fixes_line l = {r, style, part, &list->keep[i]};
        struct buf word = {0};
        flow_text(&f, r->show->faults[l.item->fault].name);
        buf_printf(&word, "×%d:", rank_seen(l.item));
        flow_word(&f, word.p, NULL);
        fixes_where(&l, &f);
        if (i + 1 < list->n_keep)
            flow_word(&f, "·", NULL);
        buf_free(&word);
    }
    flow_end(&f);
    if (list->n_items)
        buf_char(out, '\n');
}

/* What came clean, one after the other. */
static void put_clean(const struct fix_report *r, const struct report_part *part,
                      const struct fixes_style *style, struct buf *out)
{
    const struct rank_list *list = &part->list;
    struct flow f = {0};
    for (size_t i = 0; i < list->n_items; i++) {
        const struct fixes_line l = {r, style, part, &list->items[i]};
        if (l.item->marks)
            continue;
        struct buf text = {0};
        if (!f.out) {
            buf_str(out, i ? "\nCame clean" : "Came clean");
            f = flow_from(out, width_of(style), 10, HANG);
        } else {
            buf_char(out, ';');
            f.col++;
        }
        f.begun = true;
        buf_printf(&text, "%s ×%d", r->show->faults[l.item->fault].name, l.item->clean);
        if (*l.item->state_at)
            buf_printf(&text, " (%.10s%s%s)", l.item->state_at, *l.item->state_by ? ", " : "",
                       l.item->state_by);
        flow_text(&f, text.p);
        buf_free(&text);
    }
    if (f.out)
        flow_end(&f);
}

void fixes_sheet(const struct fix_report *r, const struct report_part *part,
                 const struct fixes_style *style, struct buf *out)
{
    put_keep(r, part, style, out);
    for (size_t i = 0; i < part->list.n_items; i++)
        if (part->list.items[i].marks)
            put_line(&(struct fixes_line){r, style, part, &part->list.items[i]}, out);
    put_clean(r, part, style, out);
}
