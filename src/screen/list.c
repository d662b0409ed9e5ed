/* Lists of lines: their keys, and moving in them. */
#include "screen/draw.h"

static const struct key_row keys_lists_rows[] = {
    LIST_KEYS,
    {"Enter", "open", NULL},
    {NULL, NULL, NULL},
};

const struct key_table keys_lists = {"lists", "in lists", keys_lists_rows};

size_t list_moved(size_t line, size_t n, long by)
{
    long to = (long)line + by;
    return n == 0 || to < 0 ? 0 : (size_t)to >= n ? n - 1 : (size_t)to;
}

size_t list_first(size_t line, int room)
{
    return line >= (size_t)room ? line - (size_t)room + 1 : 0;
}

static struct strip place(const struct canvas *c, int row, const struct list_column *k)
{
    return strip(row, k->col, k->cols ? k->cols : c->cols - k->col - 1);
}

void list_head(struct canvas *c, int row, const struct list_column *columns)
{
    for (const struct list_column *k = columns; k->title; k++)
        canvas_text(c, place(c, row, k), ST_DIM, k->title);
}

void list_line(struct canvas *c, int row, const struct list_column *columns, const void *of,
               enum style style)
{
    struct buf text = {0};
    for (const struct list_column *k = columns; k->title; k++) {
        buf_clear(&text);
        k->cell(of, &text);
        canvas_text(c, place(c, row, k), style, buf_text(&text));
    }
    buf_free(&text);
}

void list_wheel(struct desk *d, int by)
{
    desk_run(d, by > 0 ? "list -1" : "list +1");
}
