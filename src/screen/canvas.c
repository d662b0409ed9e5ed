#include "screen/canvas.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/utf8.h"

void canvas_clear(struct canvas *c)
{
    for (int i = 0; i < c->rows * c->cols; i++)
        c->at[i] = (struct cell){" ", ST_NORMAL};
    c->cursor_row = c->cursor_col = -1;
    c->hole = (struct rect){0};
}

void canvas_size(struct canvas *c, int rows, int cols)
{
    if (rows != c->rows || cols != c->cols || !c->at) {
        c->rows = rows;
        c->cols = cols;
        c->at = xrealloc(c->at, (size_t)rows * (size_t)cols * sizeof *c->at);
    }
    canvas_clear(c);
}

void canvas_free(struct canvas *c)
{
    free(c->at);
    *c = (struct canvas){0};
}

static struct cell *cell_at(struct canvas *c, int row, int col)
{
    return row >= 0 && row < c->rows && col >= 0 && col < c->cols ? &c->at[row * c->cols + col]
                                                                  : NULL;
}

static void put(struct canvas *c, int row, int col, enum style style, const char *text, size_t n)
{
    struct cell *cell = cell_at(c, row, col);
    if (!cell)
        return;
    snprintf(cell->text, sizeof cell->text, "%.*s", (int)n, text);
    cell->style = (unsigned char)style;
}

/* Joins a combining mark to the cell before it. */
static void join(struct canvas *c, int row, int col, const char *text, size_t n)
{
    struct cell *cell = cell_at(c, row, col);
    size_t have = cell ? strlen(cell->text) : 0;
    if (cell && have + n < sizeof cell->text) {
        memcpy(cell->text + have, text, n);
        cell->text[have + n] = '\0';
    }
}

int canvas_text(struct canvas *c, struct strip where, enum style style, const char *text)
{
    const int row = where.row, room = c->cols - where.col;
    const int columns = where.cols < room ? where.cols : room;
    int col = where.col;
    bool cut = utf8_width(text) > columns;
    int left = columns - cut;
    const char *whole = text;
    const size_t bytes = strlen(text);
    for (size_t n = bytes, took; n > 0; text += took, n -= took) {
        uint32_t ch = utf8_next(text, n, &took);
        bool hides = utf8_hides(whole, bytes, (size_t)(text - whole));
        int w = hides ? 1 : utf8_width_of(ch); /* what is not seen is shown as '?' */
        bool plain = !hides && (ch < 0x80 || c->utf8) && !(ch == UTF8_BAD && took == 1);
        if (w == 0) {
            if (plain)
                join(c, row, col - 1, text, took);
            continue;
        }
        if (w > left)
            break;
        put(c, row, col, style, plain ? text : "?", plain ? took : 1);
        if (w == 2)
            put(c, row, col + 1, style, plain ? "" : " ", plain ? 0 : 1);
        col += w;
        left -= w;
    }
    if (cut && columns > 0)
        put(c, row, col++, style, "~", 1);
    return col;
}

int canvas_printf(struct canvas *c, struct strip where, enum style style, const char *fmt, ...)
{
    char text[800];
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    text[utf8_check(text, strlen(text))] = '\0';
    return canvas_text(c, where, style, text);
}

void canvas_fill(struct canvas *c, struct rect r, enum style style)
{
    for (int row = r.row; row < r.row + r.rows; row++)
        for (int col = r.col; col < r.col + r.cols; col++)
            put(c, row, col, style, " ", 1);
}

void canvas_paint(struct canvas *c, struct rect r, enum style style)
{
    for (int row = r.row; row < r.row + r.rows; row++)
        for (int col = r.col; col < r.col + r.cols; col++) {
            struct cell *cell = cell_at(c, row, col);
            if (cell)
                cell->style = (unsigned char)style;
        }
}

const char *glyph(const struct canvas *c, const char *utf8, const char *ascii)
{
    return c->utf8 ? utf8 : ascii;
}
