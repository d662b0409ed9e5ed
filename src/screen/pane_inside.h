/* What the files of the pane share; nobody else includes this. */
#ifndef SCREEN_PANE_INSIDE_H
#define SCREEN_PANE_INSIDE_H

#include "screen/pane.h"
#include "screen/pane_cells.h"
#include "screen/pane_wire.h"

struct picture {
    bool present;
    enum pane_pace pace;
    int width, height;
    rgb *px; /* width x height */
    size_t room;
};

struct pane {
    struct term_caps caps;
    struct wire wire;
    struct cells cells;
    struct picture next, cur; /* offered and not begun; begun or shown */
    bool drawing;             /* cur is not written to its end */
    size_t at;                /* how far it is, as its drawer counts */
    struct cells_care care;
    struct cell *grid; /* rows x cols, for drawers that make whole cells */
    int64_t purse;     /* bytes that a moving picture may still spend; grows with time */
    int64_t purse_us;
    int64_t frames, dropped;
};

/* One way to show a picture. */
struct drawer {
    void (*size)(const struct pane *p, enum pane_pace pace, int *width, int *height);
    void (*begin)(struct pane *p); /* p->cur is new, p->at is 0 */
    /* Adds what fits a segment; true when the picture is complete. */
    bool (*step)(struct pane *p, struct brush *b);
};

extern const struct drawer draw_cells;

#endif
