/* What the screens share: what stands around each, lists, the parts of the review. */
#ifndef SCREEN_DRAW_H
#define SCREEN_DRAW_H

#include "command/calls.h"
#include "command/chord.h"
#include "command/line.h"
#include "command/run.h"
#include "command/screen.h"
#include "command/tied.h"
#include "screen/canvas.h"

enum { LEAST_ROWS = 24, LEAST_COLS = 80 };

/* Row 0: the show, what is shown, and hints at the right. */
void draw_title(const struct desk *d, struct canvas *c, const char *what);
/* Text in which {COMMAND} stands for its key on this screen, whatever a person bound it to. */
void draw_keys(const struct desk *d, struct canvas *c, struct strip where, enum style style,
               const char *words);
/* Text of several lines, as many as a place has rows; each is cut at its right edge. */
void draw_lines(struct canvas *c, struct rect r, enum style style, const char *text);
/* Text over several rows, broken at blanks, down to row `last`; returns the row behind it. */
int draw_wrapped(struct canvas *c, int row, int last, enum style style, const char *text);
/* Keys and what they do, one below the other, as many as there is room for. */
struct key_hint {
    const char *keys, *what; /* keys: 7 columns at most */
};
void draw_key_hints(struct canvas *c, struct rect r, const struct key_hint *hints, size_t n);
/* Rows that draw_foot() takes: two for a long message. */
int draw_foot_rows(const struct desk *d, const struct canvas *c);
/* The last row: the chord, the message, or what may be done. */
void draw_foot(const struct desk *d, struct canvas *c);
/* The whole picture for a desk: title, screen, foot; a plain message when there is no room. */
void draw_desk(const struct desk *d, struct canvas *c);

/* What is drawn over the picture in the video's own window, as ASS events for player_overlay(): the
 * line being typed, the open chord and what its next keys mean, or the last message.
 * Empty when there is nothing. */
void overlay_text(const struct desk *d, struct buf *ass);

/* The keys of every list of lines, and moving in one of n lines. */
extern const struct key_table keys_lists;
#define LIST_KEYS                                                                                  \
    {"Up", "list -1", "One line up"}, {"Down", "list +1", "One line down"},                        \
        {"PageUp", "list -10", "Ten lines up"}, {"PageDown", "list +10", "Ten lines down"},        \
    {                                                                                              \
        "Esc", "review", "Back to the review"                                                      \
    }
size_t list_moved(size_t line, size_t n, long by);
/* First line shown in so many rows, so that the chosen one is in sight. */
size_t list_first(size_t line, int room);
/* A column of a list on screen; a table of them ends with a row without a title. */
struct list_column {
    const char *title;
    int col, cols; /* cols 0: up to the right edge */
    void (*cell)(const void *row, struct buf *out);
};
void list_head(struct canvas *c, int row, const struct list_column *columns);
void list_line(struct canvas *c, int row, const struct list_column *columns, const void *of,
               enum style style);
/* The wheel moves a line up or down. */
void list_wheel(struct desk *d, int by);

/* Parts of the review. */
struct review_layout {
    struct rect rail, picture, calls;
    int transport;        /* row */
    int bar_from, bar_to; /* columns of the position bar on the transport row */
};
struct review_layout review_layout(const struct desk *d, int rows, int cols);
void draw_rail(const struct desk *d, struct canvas *c, struct rect r);
/* "5/16", or "hold" */
void count_text(const struct spot *s, const struct set *set, char out[24]);
int64_t rail_time(const struct desk *d, struct rect r, int row); /* -1: no such row */
/* "3.5", "8A.16+" while set 8A holds; nothing where the clip is not tied. */
void place_short(const struct desk *d, const struct mark *m, struct buf *out);
void draw_calls(const struct desk *d, struct canvas *c, struct rect r);
int64_t call_on_row(const struct desk *d, struct rect r, int row); /* mark id, 0: none */
/* In the rail's room, the rest in that of the calls; returns whether that was needed. */
bool draw_panel(const struct desk *d, struct canvas *c, const struct review_layout *l);
/* What may be put right, in the rail's room. */
void draw_correct(const struct desk *d, struct canvas *c, struct rect r);
/* What is said, and what was heard, in the rail's room. */
void draw_spoken(const struct desk *d, struct canvas *c, struct rect r);
/* Keys in the rail's room, what the clicks say in that of the calls. */
void draw_measuring(const struct desk *d, struct canvas *c, const struct review_layout *l);
void draw_taps(const struct desk *d, struct canvas *c, struct rect r);

#endif
