/* The fix list as a person reads it on a terminal or a sheet of paper. */
#include <string.h>

#include "paper/fixes.h"

static void put_paragraph(const struct fixes_style *style, const char *text, struct buf *out)
{
    struct flow f = flow_from(out, style->width > 40 ? style->width : 80, 0, 0);
    flow_text(&f, text);
    flow_end(&f);
}

void fixes_cover(const struct fix_report *r, struct buf *out)
{
    if (r->watched_min <= 0)
        buf_str(out, "No watching is stored for these clips, so nothing is said about marks a "
                     "minute.");
    else
        buf_printf(out, "%.1f of %.1f minutes were watched%s", r->watched_min, r->length_min,
                   report_rests_on_little(r) ? ": this list rests on little, its order may change."
                                             : ".");
}

static void put_cover(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    struct buf text = {0};
    fixes_cover(r, &text);
    put_paragraph(style, text.p, out);
    buf_free(&text);
}

static void put_equal(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    struct buf text = {0};
    fixes_equal(&r->own.list, &text);
    if (text.n)
        put_paragraph(style, text.p, out);
    buf_free(&text);
}

/* How the order came about and how it was told what is equal. */
static void put_numbers(const struct fix_report *r, const struct fixes_style *style,
                        struct buf *out)
{
    const struct rank_list *l = &r->own.list;
    bool joined = false, rated = false;
    struct buf share = {0};
    put_paragraph(style, rank_rule(l->by), out);
    for (size_t i = 0; i < l->n_items; i++) {
        joined |= l->items[i].n_brackets > 0;
        rated |= l->items[i].rated;
    }
    if (rated)
        put_paragraph(style,
                      "Marks a watched minute, clean ones too, with the exact 95 % interval for "
                      "marks that come singly (Garwood).",
                      out);
    if (joined)
        put_paragraph(style,
                      "Lines with the same letter cannot be told apart (exact conditional test of "
                      "every pair, Benjamini-Hochberg at 0.05).",
                      out);
    if (l->share_items && l->share_items < l->n_items)
        buf_printf(&share, "The first %zu of %zu lines make up at least %.0f %% of the marks.",
                   l->share_items, l->n_items, RANK_SHARE * 100);
    if (share.n)
        put_paragraph(style, share.p, out);
    buf_free(&share);
}

static void put_clip(const struct report_clip *c, struct buf *out)
{
    put_text(out, c->label);
    buf_printf(out, " (%s)", c->date);
}

static void put_title(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    buf_str(out, "Fix list: ");
    put_text(out, report_for(r));
    if (r->performer >= 0 && r->performer < (int)r->show->n_performers && !style->labels_only &&
        *r->show->performers[r->performer].name) {
        buf_str(out, ", ");
        put_text(out, r->show->performers[r->performer].name);
    }
    buf_str(out, "   ");
    put_text(out, r->title);
    if (r->n_clips == 0)
        buf_str(out, "\nno clips");
    else
        buf_printf(out, "\n%zu clip%s: ", r->n_clips, r->n_clips == 1 ? "" : "s");
    if (r->n_clips > 0)
        put_clip(&r->clips[0], out);
    if (r->n_clips > 1) {
        buf_str(out, " to ");
        put_clip(&r->clips[r->n_clips - 1], out);
    }
    buf_str(out, "\n\n");
}

static void put_part(const struct fix_report *r, const struct report_part *part,
                     const struct fixes_style *style, struct buf *out)
{
    (style->brief ? fixes_brief : fixes_sheet)(r, part, style, out);
}

void fixes_text(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    put_title(r, style, out);
    put_part(r, &r->own, style, out);
    if (r->own.list.n_items == 0)
        buf_str(out, "Nothing to fix in these clips.\n");
    for (size_t i = 0; i < r->n_with; i++) {
        const bool whole = r->with[i].section == r->show->root;
        buf_printf(out, "\nWith %s ", whole ? "the whole" : "all");
        put_text(out, r->show->sections[r->with[i].section].name);
        buf_str(out, ":\n");
        put_part(r, &r->with[i], style, out);
    }
    buf_char(out, '\n');
    put_cover(r, style, out);
    put_equal(r, style, out);
    if (style->numbers)
        put_numbers(r, style, out);
}
