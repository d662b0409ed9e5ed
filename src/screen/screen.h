/* The review on a terminal. A screen is a row of functions over the desk; the loop knows no screen
 * by name, drawing changes nothing, a key never draws. */
#ifndef SCREEN_SCREEN_H
#define SCREEN_SCREEN_H

#include "command/desk.h"
#include "screen/canvas.h"
#include "screen/prompt.h"

enum { LEAST_ROWS = 24, LEAST_COLS = 80 };

struct screen_ops {
    const char *title;
    /* The foot, while there is nothing to say; "{play}" stands for the key of a command. */
    const char *hint;
    /* Draws on a cleared canvas of at least LEAST_ROWS x LEAST_COLS, all but the last row. */
    void (*draw)(const struct desk *d, struct canvas *c);
    /* A left click; may be NULL. */
    void (*click)(struct desk *d, const struct canvas *c, int row, int col);
    void (*wheel)(struct desk *d, int by); /* +1 up; may be NULL */
};

extern const struct screen_ops screen_review, screen_fixes, screen_clips, screen_help, screen_lead,
    screen_plan;
extern const struct screen_ops *const screens[SCREENS];

/* What the person set for the terminal. */
struct screen_settings {
    const char *pane, *color; /* see struct term_settings */
};

/* Runs until the person leaves. */
bool screen_run(struct desk *d, const struct screen_settings *set, struct err *e);

/* --- shared by the screens of this room ------------------------------------------------------- */

/* Row 0: the show, what is shown, and hints at the right. */
void draw_title(const struct desk *d, struct canvas *c, const char *what);
/* The last row: the chord, the message, or what may be done. */
void draw_foot(const struct desk *d, struct canvas *c);
/* The whole picture for a desk: title, screen, foot; a plain message when there is no room. */
void draw_desk(const struct desk *d, struct canvas *c);

/* What is drawn over the picture in the video's own window, as ASS events for player_overlay(): the
 * line being typed (NULL: none), the open chord and what its next keys mean, or the last message.
 * Empty when there is nothing. */
void overlay_text(const struct desk *d, const struct prompt *typed, struct buf *ass);

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
void draw_calls(const struct desk *d, struct canvas *c, struct rect r);
int64_t call_on_row(const struct desk *d, struct rect r, int row); /* mark id, 0: none */
/* In the rail's room, the rest in that of the calls; returns whether that was needed. */
bool draw_panel(const struct desk *d, struct canvas *c, const struct review_layout *l);
void draw_taps(const struct desk *d, struct canvas *c, struct rect r);

#endif
