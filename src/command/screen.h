/* A screen is a value: what opens it, its keys, what it does with moving and choosing, how it is
 * drawn. Nothing but its own file asks whether it is open. Drawing changes nothing; a key never
 * draws. */
#ifndef COMMAND_SCREEN_H
#define COMMAND_SCREEN_H

#include "command/command.h"

struct canvas;

struct screen_still {
    const char *path;
    int64_t at_us;
};

struct screen {
    struct command open; /* its command: shows it with screen_show() when it can be shown */
    const struct key_table *keys;
    /* The foot, while there is nothing to say; "{play}" stands for the key of a command. */
    const char *hint;
    /* Draws on a cleared canvas, all but the last row. */
    void (*draw)(const struct desk *d, struct canvas *c);
    /* Each of these may be NULL. */
    bool (*key)(struct desk *d, const char *key); /* before its key table is asked; true: taken */
    void (*move)(struct desk *d, long by);        /* down the lines (up: negative) */
    void (*turn)(struct desk *d, int by);         /* along the chosen line; 2 with Shift */
    void (*enter)(struct desk *d); /* play, or open, what the chosen line speaks of */
    bool (*undo)(struct desk *d);  /* true: it took its own last change back */
    void (*left)(struct desk *d);
    void (*click)(struct desk *d, const struct canvas *c, int row, int col); /* a left click */
    void (*wheel)(struct desk *d, int by);                                   /* +1 up */
    /* The moment whose picture stands in the canvas' hole, in place of the player's; false: there is
     * none to show. The path stands until the show is read again. */
    bool (*still)(const struct desk *d, struct screen_still *out);
    void (*tick)(struct desk *d, int64_t now_us); /* each turn */
    int tick_ms; /* tick after so long when nothing else happens; 0: no need */
    /* Under another it does not wait: it is left, and this line opens it anew; NULL: it waits. */
    const char *again;
};

/* Opens the screen of that name (its command's), which must be one. */
void screen_show(struct desk *d, const char *name);
/* The same, over the one that is open: that waits there, not left, until a screen is shown again. */
void screen_cover(struct desk *d, const char *name);
/* NULL: the open one lies over none. */
const struct screen *screen_covered(const struct desk *d);

#endif
