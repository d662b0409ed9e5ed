/* What is drawn over the picture, in parts of its width and height from its top left corner: the
 * field's lines, where everybody should be, what a person who measures clicked on. Whoever shows the
 * picture draws it: the window as shapes, the terminal into the picture. */
#ifndef COMMAND_OVER_H
#define COMMAND_OVER_H

#include "command/desk.h"

enum over_kind {
    OVER_LINE,   /* a yard line */
    OVER_STRONG, /* the 50, sidelines, hashes */
    OVER_SHAPE,  /* a line or an arc through clicks */
    OVER_MOVE,   /* from a click to where it should be */
    OVER_GHOST,  /* where somebody should be */
    OVER_CLICK,
    OVER_PICK,
    OVER_CROSS, /* the crosshair */
    OVER_KINDS
};

struct over_line {
    enum over_kind kind;
    double x0, y0, x1, y1;
};

struct over_dot {
    enum over_kind kind;
    double x, y;
    const char *label; /* "" none; stands as long as the arena */
};

struct over {
    struct over_line *lines;
    struct over_dot *dots;
    size_t n_lines, n_dots, cap_lines, cap_dots;
    /* the part of the picture that is shown, as large as it gets: its middle, and how often larger */
    double x, y;
    int times;
};

/* For the frame on screen; freed with over_free(). Cheap: under a millisecond. */
void over_make(const struct desk *d, struct arena *mem, struct over *out);
void over_free(struct over *o);

#endif
