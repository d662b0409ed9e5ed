/* Where a set puts everybody, on the field as drill paper divides it, seen from the box. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/arena.h"
#include "sheet/labels.h"
#include "sheet/pen.h"

enum { YARD_LINE = 8, GOAL = 80, GRID = 4, AROUND = 2, NUMBERS = 14 };

/* Steps to points. */
struct field {
    double left, low,
        step; /* x of the left goal line's ..., y of the front sideline, points a step */
    double from_x, to_x, from_y, to_y; /* steps that are in the picture */
};

static double across(const struct field *f, double x)
{
    return f->left + (x - f->from_x) * f->step;
}

static double depth(const struct field *f, double y)
{
    return f->low - (y - f->from_y) * f->step;
}

/* A show file may say anything; no table has a dot further away (show/dots.c). */
static bool drawn(const struct dot *d, int set)
{
    enum { FAR = 400 };
    return d->set == set && fabs(d->x) <= FAR && fabs(d->y) <= FAR;
}

/* All of the field, and whoever stands off it. */
static struct field field_of(const struct pen *p, const struct show *show, int set)
{
    struct field f = {.from_x = -GOAL, .to_x = GOAL, .to_y = show->grid.back_sideline};
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *d = &show->dots[i];
        if (!drawn(d, set))
            continue;
        f.from_x = fmin(f.from_x, d->x);
        f.to_x = fmax(f.to_x, d->x);
        f.from_y = fmin(f.from_y, d->y);
        f.to_y = fmax(f.to_y, d->y);
    }
    f.from_x -= AROUND, f.to_x += AROUND, f.from_y -= AROUND, f.to_y += AROUND;
    const double wide = p->right - p->left, high = p->bottom - p->y - 2 * NUMBERS;
    f.step = fmin(wide / (f.to_x - f.from_x), high / (f.to_y - f.from_y));
    f.left = p->left + (wide - (f.to_x - f.from_x) * f.step) / 2;
    f.low = p->y + NUMBERS + (f.to_y - f.from_y) * f.step;
    return f;
}

/* Text around a middle. */
static void put_middle(struct pen *p, const char *text, double x, double y, double size)
{
    const struct pen_text t = {.text = text, .size = size};
    const double wide = pen_width(p, &t), before = p->y;
    p->y = y - size * 0.58;
    pen_text(p,
             &(struct pen_text){.text = text, .size = size, .x = x - wide / 2, .width = wide + 2});
    p->y = before;
}

/* --- the ground ------------------------------------------------------------------------------------ */

static void put_lines_along(struct pen *p, const struct field *f, const struct grid *g)
{
    const double left = across(f, -GOAL), right = across(f, GOAL);
    for (int y = GRID; y < g->back_sideline; y += GRID)
        pen_line(p, &(struct pen_line){left, depth(f, y), right, depth(f, y), 0.25, 1});
    const double sides[] = {0, g->back_sideline}, hashes[] = {g->front_hash, g->back_hash};
    for (int i = 0; i < 2; i++) {
        const double s = depth(f, sides[i]), h = depth(f, hashes[i]);
        pen_line(p, &(struct pen_line){left, s, right, s, 1.4, 0});
        pen_line(p, &(struct pen_line){left, h, right, h, 1, f->step * 2});
    }
}

static void put_yard_lines(struct pen *p, const struct field *f, const struct grid *g)
{
    const double front = depth(f, 0), back = depth(f, g->back_sideline);
    for (int x = -GOAL; x <= GOAL; x += GRID) {
        const bool yard = x % YARD_LINE == 0;
        char number[8];
        pen_line(p, &(struct pen_line){across(f, x), front, across(f, x), back, yard ? 0.6 : 0.25,
                                       yard ? 0 : 1});
        if (!yard)
            continue;
        snprintf(number, sizeof number, "%d", 50 - abs(x) * 5 / YARD_LINE);
        put_middle(p, number, across(f, x), depth(f, f->from_y) + NUMBERS / 2.0, 10);
        put_middle(p, number, across(f, x), depth(f, f->to_y) - NUMBERS / 2.0, 10);
    }
}

/* --- people --------------------------------------------------------------------------------------- */

struct people {
    double (*dots)[2];
    bool *lit; /* of each dot */
    struct label *labels;
    const char **words;
    size_t n_dots, n_labels;
};

static double size_of(size_t lit)
{
    return lit > 40 ? 7 : 9;
}

static void measure(struct pen *p, struct people *all)
{
    const double size = size_of(all->n_labels);
    for (size_t i = 0; i < all->n_labels; i++) {
        const struct pen_text t = {.text = all->words[i], .size = size, .bold = true};
        all->labels[i].wide = pen_width(p, &t);
        all->labels[i].high = size * 0.9; /* capitals and figures, and a little air */
    }
}

/* White below, so that lines of the field do not run through them. */
static void put_ground(struct pen *p, const struct people *all)
{
    for (size_t i = 0; i < all->n_labels; i++) {
        const struct label *l = &all->labels[i];
        pen_blank(p,
                  &(struct pen_line){l->left, l->top, l->left + l->wide, l->top + l->high, 0, 0});
    }
    for (size_t i = 0; i < all->n_labels; i++) {
        const struct label *l = &all->labels[i];
        const double x = fmin(fmax(l->x, l->left), l->left + l->wide),
                     y = l->top < l->y ? l->top + l->high : l->top;
        if (l->away)
            pen_line(p, &(struct pen_line){l->x, l->y, x, y, 0.5, 0});
    }
}

static void put_labels(struct pen *p, const struct people *all)
{
    const double size = size_of(all->n_labels), y = p->y;
    for (size_t i = 0; i < all->n_labels; i++) {
        const struct label *l = &all->labels[i];
        p->y = l->top - size * 0.18; /* the font's room above its capitals */
        pen_text(p, &(struct pen_text){.text = all->words[i],
                                       .x = l->left,
                                       .width = l->wide + 2,
                                       .size = size,
                                       .bold = true});
    }
    p->y = y;
}

static bool gather(const struct sheet_chart *c, const struct field *f, int set, struct people *all)
{
    const struct show *show = c->show;
    *all = (struct people){.dots = xcalloc(show->n_dots + 1, sizeof *all->dots),
                           .lit = xcalloc(show->n_dots + 1, sizeof *all->lit),
                           .labels = xcalloc(show->n_dots + 1, sizeof *all->labels),
                           .words = xcalloc(show->n_dots + 1, sizeof *all->words)};
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *d = &show->dots[i];
        if (!drawn(d, set))
            continue;
        const double x = across(f, d->x), y = depth(f, d->y);
        all->dots[all->n_dots][0] = x;
        all->dots[all->n_dots][1] = y;
        if ((all->lit[all->n_dots++] = c->lit[d->performer])) {
            all->words[all->n_labels] = show->performers[d->performer].label;
            all->labels[all->n_labels++] = (struct label){.x = x, .y = y};
        }
    }
    return all->n_dots > 0;
}

static void put_people(struct pen *p, const struct sheet_chart *c, const struct field *f, int set)
{
    const double small = fmin(2.2, f->step * 0.45), large = small * 1.35;
    struct people all;
    if (gather(c, f, set, &all)) {
        measure(p, &all);
        labels_place(all.labels, all.n_labels,
                     &(struct label_dots){(const double(*)[2])all.dots, all.n_dots, large});
        put_ground(p, &all);
    }
    for (size_t i = 0; i < all.n_dots; i++)
        pen_dot(p, all.dots[i][0], all.dots[i][1], all.lit[i] ? large : small, all.lit[i]);
    put_labels(p, &all);
    free(all.dots);
    free(all.lit);
    free(all.labels);
    free(all.words);
}

/* --- pages ----------------------------------------------------------------------------------------- */

static void put_sides(struct pen *p, const struct field *f)
{
    const double y = p->y;
    p->y = depth(f, f->from_y) + NUMBERS + 1;
    pen_text(p, &(struct pen_text){.text = "side 1", .x = p->left});
    p->y = depth(f, f->from_y) + NUMBERS + 1;
    pen_text(p, &(struct pen_text){.text = "side 2", .x = p->left, .to_right = true});
    put_middle(p, "front sideline: the box", (p->left + p->right) / 2,
               depth(f, f->from_y) + NUMBERS + 8, PEN_BODY);
    p->y = y;
}

static void put_page(struct pen *p, const struct sheet_chart *c, int set)
{
    const struct set *s = &c->show->sets[set];
    struct buf what = {0};
    buf_printf(&what, "Set %s%s%s", s->label, *c->who ? ": " : "", c->who);
    pen_page(p, &(struct pen_head){.what = what.p, .kind = "", .show = c->title, .date = c->date});
    const double bottom = p->bottom;
    p->bottom -= 16; /* for the sides' names */
    const struct field f = field_of(p, c->show, set);
    p->bottom = bottom;
    put_lines_along(p, &f, &c->show->grid);
    put_yard_lines(p, &f, &c->show->grid);
    put_people(p, c, &f, set);
    put_sides(p, &f);
    buf_free(&what);
}

static void compose(struct pen *p, const void *job)
{
    const struct sheet_chart *c = job;
    for (size_t i = 0; i < c->n_sets; i++)
        put_page(p, c, c->sets[i]);
}

bool sheet_chart(const struct sheet_chart *chart, const struct sheet_style *style, struct buf *out,
                 struct err *e)
{
    struct buf title = {0};
    buf_printf(&title, "Sets: %s%s%s", chart->title, *chart->who ? ", " : "", chart->who);
    const bool ok = pen_document(
        &(struct pen_job){.title = title.p, .lying = true, .compose = compose, .job = chart}, style,
        out, e);
    buf_free(&title);
    return ok;
}
