/* Text on the page, line by line, so that what is longer than a page goes on on the next. */
#include <string.h>

#include "base/utf8.h"
#include "sheet/pen_inside.h"

#include "sheet/library.h"

static double size_of(const struct pen *p, const struct pen_text *t)
{
    return (t->size > 0 ? t->size : PEN_BODY) * p->scale;
}

static PangoFontDescription *font_of(const struct pen *p, const struct pen_text *t)
{
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family(font, PEN_FONT);
    pango_font_description_set_absolute_size(font, size_of(p, t) * PANGO_SCALE);
    if (t->bold)
        pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
    return font;
}

static void add_strong(const struct pen *p, const struct pen_text *t, PangoAttrList *list)
{
    PangoAttribute *weight = pango_attr_weight_new(PANGO_WEIGHT_BOLD);
    weight->end_index = (guint)t->strong;
    pango_attr_list_insert(list, weight);
    if (t->strong_size > 0) {
        const double size = t->strong_size * p->scale * PANGO_SCALE;
        PangoAttribute *large = pango_attr_size_new_absolute((int)size);
        large->end_index = (guint)t->strong;
        pango_attr_list_insert(list, large);
    }
}

/* No hyphen where a long word is broken: what people wrote stays as it was. */
static void dress(const struct pen *p, const struct pen_text *t, PangoLayout *layout)
{
    PangoAttrList *list = pango_attr_list_new();
    pango_attr_list_insert(list, pango_attr_insert_hyphens_new(FALSE));
    if (t->strong)
        add_strong(p, t, list);
    pango_layout_set_attributes(layout, list);
    pango_attr_list_unref(list);
}

/* Taming keeps the length of what was there, so bytes that are to be strong stay the same. */
static PangoLayout *lay(const struct pen *p, const struct pen_text *t, double width)
{
    struct buf tame = {0};
    PangoLayout *layout = pango_layout_new(p->in->context);
    PangoFontDescription *font = font_of(p, t);
    if (t->tamed)
        buf_str(&tame, t->text);
    else
        put_text(&tame, t->text);
    pango_layout_set_font_description(layout, font);
    pango_layout_set_auto_dir(layout, t->persons);
    pango_layout_set_text(layout, buf_text(&tame), -1);
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    if (width > 0)
        pango_layout_set_width(layout, (int)(width * PANGO_SCALE));
    if (t->lines) {
        pango_layout_set_height(layout, -t->lines);
        pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
    }
    if (t->to_right)
        pango_layout_set_alignment(layout, PANGO_ALIGN_RIGHT);
    dress(p, t, layout);
    pango_font_description_free(font);
    buf_free(&tame);
    return layout;
}

/* A line of the layout, whose own top is at 0. */
static void put_line(struct pen *p, PangoLayoutIter *iter, const struct pen_text *t)
{
    PangoRectangle line;
    pango_layout_iter_get_line_extents(iter, NULL, &line);
    const double height = (double)line.height / PANGO_SCALE,
                 below = (double)(pango_layout_iter_get_baseline(iter) - line.y) / PANGO_SCALE;
    if (!t->stays && !p->in->endless && p->y + height > p->bottom + 1)
        p->in->turn(p);
    if (!p->measuring) {
        cairo_move_to(p->in->cr, t->x + (double)line.x / PANGO_SCALE, p->y + below);
        pango_cairo_show_layout_line(p->in->cr, pango_layout_iter_get_line_readonly(iter));
    }
    p->y += height;
}

void pen_text(struct pen *p, const struct pen_text *t)
{
    if (!t->text || !*t->text)
        return;
    PangoLayout *layout = lay(p, t, t->width > 0 ? t->width : p->right - t->x);
    PangoLayoutIter *iter = pango_layout_get_iter(layout);
    if (!p->measuring && p->pages > 0)
        p->in->all->strange += pango_layout_get_unknown_glyphs_count(layout);
    do
        put_line(p, iter, t);
    while (pango_layout_iter_next_line(iter));
    pango_layout_iter_free(iter);
    g_object_unref(layout);
}

double pen_width(struct pen *p, const struct pen_text *t)
{
    PangoRectangle all;
    PangoLayout *layout = lay(p, t, 0);
    pango_layout_get_extents(layout, NULL, &all);
    g_object_unref(layout);
    return (double)all.width / PANGO_SCALE;
}

void pen_ink(struct pen *p, const struct pen_text *t, struct pen_ink *out)
{
    PangoRectangle ink;
    PangoLayout *layout = lay(p, t, 0);
    pango_layout_get_extents(layout, &ink, NULL);
    g_object_unref(layout);
    *out = (struct pen_ink){(double)ink.x / PANGO_SCALE, (double)ink.y / PANGO_SCALE,
                            (double)ink.width / PANGO_SCALE, (double)ink.height / PANGO_SCALE};
}
