/* What is painted on the field, and how steps become cells. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "screen/field.h"

enum { ACROSS = 2, DEEP = 4, YARD_LINE = 8 };

/* More than this would only part people from each other. */
static const double points_most = 8;

struct sight sight_of(const struct grid *grid, struct rect area, const struct extent *e)
{
    const double wide = area.cols * ACROSS - 2 * ACROSS, deep = area.rows * DEEP - 2;
    const double points = fmin(
        points_most, fmin(wide / fmax(8, e->right - e->left), deep / fmax(8, e->back - e->front)));
    /* In the middle of a cell, so that what is as far left as right of it is so in cells. */
    const double middle = area.cols / 2 * ACROSS + ACROSS / 2.0;
    return (struct sight){
        .grid = grid,
        .area = area,
        .left = (e->left + e->right) / 2 - middle / points,
        .back = (e->front + e->back) / 2 + area.rows * DEEP / 2.0 / points,
        .points = points,
    };
}

struct point sight_point(const struct sight *s, struct dot_place at)
{
    const double far = 10000;
    const double col = fmin(far, fmax(-far, (at.x - s->left) * s->points));
    const double row = fmin(far, fmax(-far, (s->back - at.y) * s->points));
    return (struct point){(int)floor(row), (int)floor(col)};
}

bool sight_cell(const struct sight *s, struct point p, struct point *cell)
{
    const struct rect *a = &s->area;
    if (p.row < 0 || p.col < 0 || p.row >= a->rows * DEEP || p.col >= a->cols * ACROSS)
        return false;
    *cell = (struct point){a->row + p.row / DEEP, a->col + p.col / ACROSS};
    return true;
}

struct dot_place sight_place(const struct sight *s, int row, int col)
{
    return (struct dot_place){s->left + ((col - s->area.col) + 0.5) * ACROSS / s->points,
                              s->back - ((row - s->area.row) + 0.5) * DEEP / s->points};
}

/* --- lines ------------------------------------------------------------------------------------- */

static int row_of(const struct sight *s, double depth)
{
    return s->area.row + (int)floor((s->back - depth) * s->points / DEEP);
}

static int col_of(const struct sight *s, double x)
{
    return s->area.col + (int)floor((x - s->left) * s->points / ACROSS);
}

static bool in_rows(const struct sight *s, int row)
{
    return row >= s->area.row && row < s->area.row + s->area.rows;
}

static bool in_cols(const struct sight *s, int col)
{
    return col >= s->area.col && col < s->area.col + s->area.cols;
}

static void put(struct canvas *c, const struct sight *s, int row, int col, const char *text)
{
    if (in_rows(s, row) && in_cols(s, col))
        canvas_text(c, strip(row, col, 1), ST_DIM, text);
}

/* Columns between two lines that are eight steps apart. */
static double line_cols(const struct sight *s)
{
    return YARD_LINE * s->points / ACROSS;
}

/* A line every ten yards; those between them where there is room. */
static bool is_drawn(const struct sight *s, int line)
{
    enum { LEAST = 3 };
    return line % 2 == 0 || line_cols(s) >= LEAST;
}

static int lines_out(const struct grid *g)
{
    return (int)floor(grid_half(g) / YARD_LINE + 1e-6);
}

static void draw_yard_line(struct canvas *c, const struct sight *s, int line)
{
    const int col = col_of(s, line * YARD_LINE);
    const bool edge = s->grid->surface == SURFACE_FOOTBALL && abs(line) == lines_out(s->grid);
    const bool ten = line % 2 == 0;
    for (int row = row_of(s, s->grid->back_sideline); row <= row_of(s, 0); row++)
        put(c, s, row, col,
            edge  ? glyph(c, "║", "|")
            : ten ? glyph(c, "│", "|")
                  : glyph(c, "┊", ":"));
}

static void draw_edges(struct canvas *c, const struct sight *s)
{
    const double half = grid_half(s->grid);
    const int left = col_of(s, -half), right = col_of(s, half);
    for (int row = row_of(s, s->grid->back_sideline); row <= row_of(s, 0); row++) {
        put(c, s, row, left, glyph(c, "│", "|"));
        put(c, s, row, right, glyph(c, "│", "|"));
    }
}

/* A sideline runs through; a hash is a tick at each yard line. */
static void draw_long_line(struct canvas *c, const struct sight *s, const struct grid_line *l)
{
    const int row = row_of(s, l->depth);
    const int left = col_of(s, -grid_half(s->grid)), right = col_of(s, grid_half(s->grid));
    const bool back = l->depth > 0;
    for (int col = left < 0 ? 0 : left; l->kind == LINE_EDGE && col <= right && col < c->cols;
         col++)
        put(c, s, row, col,
            col == left    ? glyph(c, back ? "┌" : "└", "+")
            : col == right ? glyph(c, back ? "┐" : "┘", "+")
                           : glyph(c, "─", "-"));
    const int out = lines_out(s->grid);
    for (int line = -out; line <= out; line++) {
        const int col = col_of(s, line * YARD_LINE);
        if (!is_drawn(s, line) || col == left || col == right)
            continue;
        put(c, s, row, col,
            l->kind != LINE_EDGE ? glyph(c, "┼", "+") : glyph(c, back ? "┬" : "┴", "+"));
    }
}

/* Left and right of the numbers, where there is room. */
static void draw_sides(struct canvas *c, int row, int first, int last)
{
    enum { SIDE = 8 };
    if (first >= SIDE)
        canvas_text(c, strip(row, 1, SIDE), ST_DIM, "side 1");
    if (last + SIDE <= c->cols)
        canvas_text(c, strip(row, c->cols - SIDE + 1, SIDE), ST_DIM, "side 2");
}

/* What stands at the lines, below the field or below what is in sight of it. */
static void draw_numbers(struct canvas *c, const struct sight *s)
{
    enum { ROOM = 5 };
    const int row = s->area.row + s->area.rows, out = lines_out(s->grid);
    int first = s->area.cols, last = 0;
    for (int line = -out; line <= out; line++) {
        char number[16];
        grid_number(s->grid, line * YARD_LINE, number);
        const int n = (int)strlen(number), col = col_of(s, line * YARD_LINE) - n / 2;
        if ((line % 2 != 0 && line_cols(s) < ROOM) || !in_cols(s, col) || !in_cols(s, col + n))
            continue;
        canvas_text(c, strip(row, col, n), ST_NORMAL, number);
        first = col < first ? col : first;
        last = col + n > last ? col + n : last;
    }
    draw_sides(c, row, first, last);
}

void draw_ground(struct canvas *c, const struct sight *s)
{
    struct grid_line lines[GRID_LINES];
    const int out = lines_out(s->grid);
    for (int line = -out; line <= out; line++)
        if (is_drawn(s, line))
            draw_yard_line(c, s, line);
    if (s->grid->surface == SURFACE_FLOOR)
        draw_edges(c, s);
    for (size_t i = 0, n = grid_lines(s->grid, lines); i < n; i++)
        draw_long_line(c, s, &lines[i]);
    draw_numbers(c, s);
}
