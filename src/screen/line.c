#include "base/utf8.h"
#include "screen/line.h"

void prompt_draw(const struct prompt *p, struct canvas *c, int row)
{
    canvas_fill(c, (struct rect){row, 0, 1, c->cols}, ST_NORMAL);
    int col = p->full ? canvas_text(c, strip(row, 0, c->cols / 2), ST_TROUBLE,
                                    " full; shorten it, or Esc:")
                      : canvas_text(c, strip(row, 0, c->cols / 2), ST_KEY, p->label);
    col = canvas_text(c, strip(row, col, 1), ST_NORMAL, " ");
    /* Scroll so that the cursor stays on the line. */
    int room = c->cols - col - 1, before_cursor = 0;
    size_t from = p->at, took;
    while (from > 0) {
        size_t start = prompt_before(p, from);
        int width = 0;
        for (size_t i = start; i < from; i += took)
            width += utf8_width_of(utf8_next(p->text + i, from - i, &took));
        if (before_cursor + width >= room)
            break;
        before_cursor += width;
        from = start;
    }
    canvas_text(c, strip(row, col, room), ST_NORMAL, p->text + from);
    c->cursor_row = row;
    c->cursor_col = col + before_cursor < c->cols ? col + before_cursor : c->cols - 1;
}
