#include "pane/brush.h"

#include <stdio.h>
#include <string.h>

#include "base/utf8.h"

static void number(struct buf *out, int n)
{
    char digits[12];
    char *p = digits + sizeof digits;
    do {
        *--p = (char)('0' + n % 10);
        n /= 10;
    } while (n > 0);
    buf_add(out, p, (size_t)(digits + sizeof digits - p));
}

void brush_begin(struct brush *b)
{
    if (b->synchronized)
        buf_str(b->out, "\033[?2026h");
    buf_str(b->out, "\0337\033[m");
    b->fg = b->bg = INK_OWN;
    b->row = -1;
}

void brush_end(struct brush *b, bool answer)
{
    buf_str(b->out, "\0338");
    if (b->synchronized)
        buf_str(b->out, "\033[?2026l");
    if (answer)
        buf_str(b->out, "\033[5n");
}

void brush_move(struct brush *b, int row, int col)
{
    if (row == b->row && col == b->col)
        return;
    buf_str(b->out, "\033[");
    if (row == b->row && col > b->col) {
        if (col - b->col > 1)
            number(b->out, col - b->col);
        buf_char(b->out, 'C');
    } else {
        number(b->out, row + 1);
        buf_char(b->out, ';');
        number(b->out, col + 1);
        buf_char(b->out, 'H');
    }
    b->row = row;
    b->col = col;
}

/* The parameters of SGR for one colour; side is 0 for the foreground, 10 for the background. */
static void color(struct brush *b, ink c, int side)
{
    const int i = (int)(c & 0xff);
    if (c == INK_OWN) {
        number(b->out, 39 + side);
    } else if (!(c & INK_INDEX)) {
        number(b->out, 38 + side);
        for (int shift = 16; shift >= 0; shift -= 8) {
            buf_str(b->out, shift == 16 ? ";2;" : ";");
            number(b->out, (int)(c >> shift & 0xff));
        }
    } else if (b->colors == TERM_16) {
        number(b->out, i < 8 ? 30 + side + i : 82 + side + i);
    } else {
        number(b->out, 38 + side);
        buf_str(b->out, ";5;");
        number(b->out, i);
    }
}

static void colors(struct brush *b, ink fg, ink bg)
{
    const bool new_fg = fg != INK_UNKNOWN && fg != b->fg;
    const bool new_bg = bg != INK_UNKNOWN && bg != b->bg;
    if (!new_fg && !new_bg)
        return;
    buf_str(b->out, "\033[");
    if (new_fg) {
        color(b, fg, 0);
        b->fg = fg;
    }
    if (new_fg && new_bg)
        buf_char(b->out, ';');
    if (new_bg) {
        color(b, bg, 10);
        b->bg = bg;
    }
    buf_char(b->out, 'm');
}

void brush_put(struct brush *b, int row, int col, const struct patch *cell)
{
    brush_move(b, row, col);
    colors(b, cell->fg, cell->bg);
    char utf8[4];
    buf_add(b->out, utf8, utf8_put(cell->glyph, utf8));
    b->col++;
}

void brush_blank(struct brush *b, int row, int col, int n)
{
    brush_move(b, row, col);
    colors(b, INK_OWN, INK_OWN);
    buf_str(b->out, "\033[");
    number(b->out, n);
    buf_char(b->out, 'X');
}
