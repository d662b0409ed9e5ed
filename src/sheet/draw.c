/* Lines, boxes and dots on the page. */
#include "sheet/pen_inside.h"

#include "sheet/library.h"

void pen_line(struct pen *p, const struct pen_line *l)
{
    if (p->measuring)
        return;
    cairo_set_line_width(p->in->cr, l->wide);
    cairo_set_dash(p->in->cr, &l->dash, l->dash > 0, 0);
    cairo_move_to(p->in->cr, l->x1, l->y1);
    cairo_line_to(p->in->cr, l->x2, l->y2);
    cairo_stroke(p->in->cr);
    cairo_set_dash(p->in->cr, NULL, 0, 0);
}

void pen_rule(struct pen *p, double wide)
{
    pen_line(p, &(struct pen_line){p->left, p->y, p->right, p->y, wide, 0});
}

void pen_box(struct pen *p, double x, double y, double side)
{
    if (p->measuring)
        return;
    cairo_set_line_width(p->in->cr, 1.2);
    cairo_rectangle(p->in->cr, x, y, side, side);
    cairo_stroke(p->in->cr);
}

void pen_blank(struct pen *p, const struct pen_line *c)
{
    if (p->measuring)
        return;
    cairo_set_source_rgb(p->in->cr, 1, 1, 1);
    cairo_rectangle(p->in->cr, c->x1, c->y1, c->x2 - c->x1, c->y2 - c->y1);
    cairo_fill(p->in->cr);
    cairo_set_source_rgb(p->in->cr, 0, 0, 0);
}

void pen_dot(struct pen *p, double x, double y, double radius, bool full)
{
    if (p->measuring)
        return;
    cairo_new_path(p->in->cr);
    cairo_arc(p->in->cr, x, y, radius, 0, 6.283185307179586);
    cairo_set_line_width(p->in->cr, 0.7);
    (full ? cairo_fill : cairo_stroke)(p->in->cr);
}

void pen_squares(struct pen *p, const struct pen_squares *s)
{
    if (p->measuring)
        return;
    cairo_new_path(p->in->cr);
    for (int row = 0; row < s->n; row++)
        for (int from = 0, to; from < s->n; from = to) {
            const unsigned char *line = s->dark + (size_t)row * (size_t)s->n;
            for (to = from + 1; to < s->n && ((line[from] ^ line[to]) & 1) == 0;)
                to++;
            if (line[from] & 1)
                cairo_rectangle(p->in->cr, s->x + from * s->side, s->y + row * s->side,
                                (to - from) * s->side, s->side);
        }
    cairo_fill(p->in->cr);
}
