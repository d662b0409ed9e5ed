/* A grid of cells that screens draw on; screen/tty.c copies it to the terminal. Drawing never
 * touches a terminal, so a test compares cells. */
#ifndef SCREEN_CANVAS_H
#define SCREEN_CANVAS_H

#include <stdbool.h>
#include <stddef.h>

enum style {
    ST_NORMAL,
    ST_TITLE,
    ST_DIM,
    ST_STRONG,
    ST_KEY,
    ST_PRAISE,
    ST_SERIOUS,
    ST_NOW,
    ST_CHOSEN,
    ST_TROUBLE,
    ST_SAID,
    STYLES
};

struct cell {
    char text[15]; /* UTF-8 with its combining marks; "" right of a wide character */
    unsigned char style;
};

struct rect {
    int row, col, rows, cols;
};

struct canvas {
    int rows, cols;
    struct cell *at;
    int cursor_row, cursor_col; /* -1: hidden */
    struct rect hole;           /* the picture's room, never drawn on; rows 0: none */
    bool utf8;                  /* may use characters beyond ASCII */
};

void canvas_size(struct canvas *c, int rows, int cols); /* also clears */
void canvas_clear(struct canvas *c);
void canvas_free(struct canvas *c);

/* A piece of one row. */
struct strip {
    int row, col, cols;
};
static inline struct strip strip(int row, int col, int cols)
{
    return (struct strip){row, col, cols};
}

/* Text at the beginning of a strip; cut text ends in "~". Control characters show as
 * '?'. What is outside the canvas is left out. Returns the column behind the text. */
int canvas_text(struct canvas *c, struct strip where, enum style style, const char *text);
int canvas_printf(struct canvas *c, struct strip where, enum style style, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));
/* Blanks in a style. */
void canvas_fill(struct canvas *c, struct rect r, enum style style);
/* Gives cells that are drawn already another style. */
void canvas_paint(struct canvas *c, struct rect r, enum style style);
/* The first in UTF-8, the second in ASCII. */
const char *glyph(const struct canvas *c, const char *utf8, const char *ascii);

#endif
