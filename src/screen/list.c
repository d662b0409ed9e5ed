/* Lists of lines: their keys, and moving in them. */
#include "screen/draw.h"

static const struct key_row keys_lists_rows[] = {
    {"Up", "list -1", "One line up"},
    {"Down", "list +1", "One line down"},
    {"PageUp", "list -10", "Ten lines up"},
    {"PageDown", "list +10", "Ten lines down"},
    {"Left", "list <", "The moment before of this line"},
    {"Right", "list >", "The next moment of this line"},
    {"Enter", "open", NULL},
    {"Esc", "review", "Back to the review"},
    {"1", "state open", "This line is open"},
    {"2", "state repped", "This line was repped"},
    {"3", "state clean", "This line is clean"},
    {"*", "decide", NULL},
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

void list_wheel(struct desk *d, int by)
{
    desk_run(d, by > 0 ? "list -1" : "list +1");
}
