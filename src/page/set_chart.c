/* Where a set puts everybody, seen from the box: the front sideline is below. Drawn in grid steps,
 * cut to the people the line is about. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/arena.h"
#include "page/html.h"
#include "page/inside.h"

enum { YARD_LINE = 8, GOAL = 80, AROUND = 8, LEAST = 48 };

struct box {
    double left, right, front, back;
};

static bool lit(const struct fixes_line *l, int performer)
{
    for (size_t i = 0; i < l->item->n_who; i++) {
        const struct rank_who *w = &l->item->who[i];
        if (w->performer ? w->position == performer
                         : section_within(l->r->show, l->r->show->performers[performer].section,
                                          w->position))
            return true;
    }
    return false;
}

/* Room around the dots that are lit; false when there are none. */
static bool frame_of(const struct fixes_line *l, const bool *on, int set, struct box *b)
{
    const struct show *show = l->r->show;
    *b = (struct box){INFINITY, -INFINITY, INFINITY, -INFINITY};
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *d = &show->dots[i];
        if (d->set != set || !on[d->performer])
            continue;
        b->left = fmin(b->left, d->x);
        b->right = fmax(b->right, d->x);
        b->front = fmin(b->front, d->y);
        b->back = fmax(b->back, d->y);
    }
    if (!(b->left <= b->right))
        return false;
    const double wide = fmax(b->right - b->left + 2 * AROUND, LEAST),
                 middle = (b->left + b->right) / 2;
    b->left = floor(middle - wide / 2);
    b->right = ceil(middle + wide / 2);
    b->front = floor(b->front - AROUND);
    b->back = ceil(b->back + AROUND);
    return true;
}

static void line(const char *class, double x1, double y1, double x2, double y2, struct buf *out)
{
    const double at[] = {x1, y1, x2, y2};
    static const char *const names[] = {"x1", "y1", "x2", "y2"};
    buf_printf(out, "<line class=\"%s\"", class);
    for (size_t i = 0; i < 4; i++) {
        buf_printf(out, " %s=\"", names[i]);
        html_number(out, at[i]);
        buf_char(out, '"');
    }
    buf_str(out, "/>\n");
}

static void text(const char *class, double x, double y, const char *words, struct buf *out)
{
    buf_printf(out, "<text class=\"%s\" x=\"", class);
    html_number(out, x);
    buf_str(out, "\" y=\"");
    html_number(out, y);
    buf_str(out, "\">");
    html_text(out, words);
    buf_str(out, "</text>\n");
}

/* Yard lines with their numbers, hashes and sidelines, as far as they are in the picture. */
static void put_ground(const struct grid *g, const struct box *b, struct buf *out)
{
    const double front = fmax(b->front, 0), back = fmin(b->back, g->back_sideline);
    const double depths[] = {0, g->front_hash, g->back_hash, g->back_sideline};
    for (int x = -GOAL; x <= GOAL; x += YARD_LINE) {
        char yard[8];
        if (x < b->left || x > b->right || front > back)
            continue;
        line("yard", x, -front, x, -back, out);
        snprintf(yard, sizeof yard, "%d", 50 - abs(x) * 5 / YARD_LINE);
        text("number", x, -b->front - 1, yard, out);
    }
    for (size_t i = 0; i < 4; i++)
        if (depths[i] >= b->front && depths[i] <= b->back)
            line(i == 0 || i == 3 ? "side" : "hash", fmax(b->left, -GOAL), -depths[i],
                 fmin(b->right, GOAL), -depths[i], out);
}

static void put_dot(const struct dot *d, const char *label, struct buf *out)
{
    buf_printf(out, "<circle class=\"%s\" r=\"%s\" cx=\"", label ? "lit" : "dot",
               label ? "0.6" : "0.5");
    html_number(out, d->x);
    buf_str(out, "\" cy=\"");
    html_number(out, -d->y);
    buf_str(out, "\"/>\n");
    if (label)
        text("label", d->x, -d->y - 0.9, label, out);
}

/* Those that are lit come last, above the others. */
static void put_dots(const struct show *show, const bool *on, int set, const struct box *b,
                     struct buf *out)
{
    for (int above = 0; above < 2; above++)
        for (size_t i = 0; i < show->n_dots; i++) {
            const struct dot *d = &show->dots[i];
            const bool seen =
                d->x >= b->left && d->x <= b->right && d->y >= b->front && d->y <= b->back;
            if (d->set == set && seen && on[d->performer] == (above == 1))
                put_dot(d, above ? show->performers[d->performer].label : NULL, out);
        }
}

static void put_labels(const struct show *show, const bool *on, struct buf *out)
{
    bool begun = false;
    for (size_t i = 0; i < show->n_performers; i++) {
        if (!on[i])
            continue;
        buf_str(out, begun ? ", " : ": ");
        html_text(out, show->performers[i].label);
        begun = true;
    }
}

void page_set_chart(const struct fixes_line *l, int set, struct buf *out)
{
    const struct show *show = l->r->show;
    struct box b;
    bool *on = xcalloc(show->n_performers + 1, sizeof *on);
    for (size_t i = 0; i < show->n_performers; i++)
        on[i] = lit(l, (int)i);
    if (frame_of(l, on, set, &b)) {
        buf_str(out, "<details class=\"chart\"><summary>Set ");
        html_text(out, show->sets[set].label);
        buf_str(out, ", from the box</summary>\n<svg viewBox=\"");
        html_number(out, b.left);
        buf_char(out, ' ');
        html_number(out, -b.back);
        buf_printf(out, " %g %g\" role=\"img\" aria-label=\"Set ", b.right - b.left,
                   b.back - b.front);
        html_text(out, show->sets[set].label);
        put_labels(show, on, out);
        buf_str(out, "\">\n");
        put_ground(&show->grid, &b, out);
        put_dots(show, on, set, &b, out);
        buf_str(out, "</svg></details>\n");
    }
    free(on);
}
