/* Lines, hashes and numbers as drill paper has them: a line every four steps, a yard line every
 * eight. */
#include "sheet/field.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { YARD_LINE = 8, GRID = 4, AROUND = 2, NUMBERS = 14, BELOW = 16 };

static double high_of(const struct pen *p)
{
    enum { LEAST = 100 };
    return fmax(LEAST, p->bottom - p->y - 2 * NUMBERS - BELOW);
}

/* The picture in the middle of the page's width, at the top of what is left of it. */
static struct field lay(const struct pen *p, struct field f)
{
    const double wide = p->right - p->left;
    f.step = fmin(wide / (f.to_x - f.from_x), high_of(p) / (f.to_y - f.from_y));
    f.left = p->left + (wide - (f.to_x - f.from_x) * f.step) / 2;
    f.low = p->y + NUMBERS + (f.to_y - f.from_y) * f.step;
    return f;
}

struct field field_whole(const struct pen *p, const struct grid *grid,
                         const struct field_people *people)
{
    return lay(p, (struct field){.grid = grid,
                                 .from_x = fmin(-grid_half(grid), people->from_x) - AROUND,
                                 .to_x = fmax(grid_half(grid), people->to_x) + AROUND,
                                 .from_y = fmin(0, people->from_y) - AROUND,
                                 .to_y = fmax(grid->back_sideline, people->to_y) + AROUND});
}

/* Widens from .. to to `size`, within the whole where that is possible. */
static void widen(double *from, double *to, double size, double least, double most)
{
    const double more = size - (*to - *from);
    if (more <= 0)
        return;
    *from -= more / 2, *to += more / 2;
    if (*from < least)
        *to += least - *from, *from = least;
    if (*to > most)
        *from = fmax(least, *from - (*to - most)), *to = most;
}

struct field field_near(const struct pen *p, const struct grid *grid,
                        const struct field_people *people)
{
    enum { LEAST = 4 * YARD_LINE };
    const struct field whole = field_whole(p, grid, people);
    struct field f = {.grid = grid,
                      .from_x = floor((people->from_x - GRID) / YARD_LINE) * YARD_LINE,
                      .to_x = ceil((people->to_x + GRID) / YARD_LINE) * YARD_LINE,
                      .from_y = floor((people->from_y - AROUND) / GRID) * GRID,
                      .to_y = ceil((people->to_y + AROUND) / GRID) * GRID};
    widen(&f.from_x, &f.to_x, LEAST, whole.from_x, whole.to_x);
    f.from_x = fmax(f.from_x, whole.from_x), f.to_x = fmin(f.to_x, whole.to_x);
    f.from_y = fmax(f.from_y, whole.from_y), f.to_y = fmin(f.to_y, whole.to_y);
    const double step = lay(p, f).step;
    widen(&f.from_x, &f.to_x, (p->right - p->left) / step, whole.from_x, whole.to_x);
    widen(&f.from_y, &f.to_y, high_of(p) / step, whole.from_y, whole.to_y);
    f.closer = f.to_x - f.from_x < whole.to_x - whole.from_x;
    return lay(p, f);
}

double field_x(const struct field *f, double across)
{
    return f->left + (across - f->from_x) * f->step;
}

double field_y(const struct field *f, double depth)
{
    return f->low - (depth - f->from_y) * f->step;
}

/* --- what is painted ------------------------------------------------------------------------------ */

/* Text around a middle. */
static void put_middle(struct pen *p, const char *text, double x, double y, double size)
{
    const struct pen_text t = {.text = text, .size = size};
    const double wide = pen_width(p, &t), before = p->y;
    p->y = y - size * 0.58;
    pen_text(p,
             &(struct pen_text){
                 .stays = true, .text = text, .size = size, .x = x - wide / 2, .width = wide + 2});
    p->y = before;
}

static bool has_depth(const struct field *f, double y)
{
    return y >= f->from_y && y <= f->to_y;
}

static void put_along(struct pen *p, const struct field *f, double y, struct pen_line line)
{
    if (!has_depth(f, y))
        return;
    line.x1 = field_x(f, fmax(-grid_half(f->grid), f->from_x));
    line.x2 = field_x(f, fmin(grid_half(f->grid), f->to_x));
    line.y1 = line.y2 = field_y(f, y);
    pen_line(p, &line);
}

static void put_yard_lines(struct pen *p, const struct field *f)
{
    const double front = field_y(f, fmax(0, f->from_y)),
                 back = field_y(f, fmin(f->grid->back_sideline, f->to_y));
    const int most = (int)(grid_half(f->grid) / GRID) * GRID;
    for (int x = -most; x <= most; x += GRID) {
        const bool yard = x % YARD_LINE == 0;
        const double at = field_x(f, x);
        char number[16];
        if (x < f->from_x || x > f->to_x)
            continue;
        pen_line(p, &(struct pen_line){at, front, at, back, yard ? 0.6 : 0.25, yard ? 0 : 1});
        if (!yard)
            continue;
        grid_number(f->grid, x, number);
        put_middle(p, number, at, field_y(f, f->from_y) + NUMBERS / 2.0, 10);
        put_middle(p, number, at, field_y(f, f->to_y) - NUMBERS / 2.0, 10);
    }
}

void field_draw(struct pen *p, const struct field *f)
{
    const struct grid *g = f->grid;
    for (int y = GRID; y < g->back_sideline; y += GRID)
        put_along(p, f, y, (struct pen_line){.wide = 0.25, .dash = 1});
    struct grid_line lines[GRID_LINES];
    for (size_t i = 0, n = grid_lines(g, lines); i < n; i++)
        put_along(p, f, lines[i].depth,
                  lines[i].kind == LINE_EDGE ? (struct pen_line){.wide = 1.4}
                                             : (struct pen_line){.wide = 1, .dash = f->step * 2});
    put_yard_lines(p, f);
}

/* --- words ---------------------------------------------------------------------------------------- */

size_t field_words(struct pen *p, const struct field *f, struct rect taken[FIELD_WORDS])
{
    enum { SIZE = 8 };
    struct grid_line words[GRID_LINES];
    size_t n = 0;
    for (size_t i = grid_lines(f->grid, words); i-- > 0;) {
        const struct pen_text t = {.text = words[i].name, .size = SIZE};
        const double x = field_x(f, fmax(-grid_half(f->grid), f->from_x)) + 2,
                     y = field_y(f, words[i].depth), before = p->y;
        if (!has_depth(f, words[i].depth))
            continue;
        /* none in the row of numbers above the picture */
        const bool below = y - SIZE - 2 < field_y(f, f->to_y);
        const struct rect r = {x, below ? y + 1.5 : y - 1.5 - SIZE, pen_width(p, &t) + 2, SIZE};
        pen_blank(p, &(struct pen_line){r.left, r.top, r.left + r.wide, r.top + r.high, 0, 0});
        p->y = r.top - SIZE * 0.14;
        if (!p->measuring)
            pen_text(p, &(struct pen_text){.stays = true,
                                           .text = words[i].name,
                                           .size = SIZE,
                                           .x = r.left + 1,
                                           .width = r.wide + 4});
        p->y = before;
        taken[n++] = r;
    }
    return n;
}

void field_sides(struct pen *p, const struct field *f)
{
    const double y = p->y, low = field_y(f, f->from_y) + NUMBERS + 1;
    struct grid_line lines[GRID_LINES];
    char box[64];
    grid_lines(f->grid, lines);
    p->y = low;
    pen_text(p, &(struct pen_text){.stays = true, .text = "side 1", .x = p->left});
    p->y = low;
    pen_text(p,
             &(struct pen_text){.stays = true, .text = "side 2", .x = p->left, .to_right = true});
    snprintf(box, sizeof box, "%s: the box%s", has_depth(f, 0) ? lines[0].name : "front",
             !f->closer                          ? ""
             : f->grid->surface == SURFACE_FLOOR ? "; a part of the floor"
                                                 : "; a part of the field");
    put_middle(p, box, (p->left + p->right) / 2, low + 7, PEN_BODY);
    p->y = y;
}

struct rect field_within(const struct pen *p, const struct field *f)
{
    const double top = field_y(f, f->to_y);
    return (struct rect){p->left, top, p->right - p->left, field_y(f, f->from_y) - top};
}
