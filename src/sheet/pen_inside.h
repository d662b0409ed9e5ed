/* What the pen's own files share. */
#ifndef SHEET_PEN_INSIDE_H
#define SHEET_PEN_INSIDE_H

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include "sheet/pen.h"

#define PEN_FONT "sans-serif"

struct pen_handout {
    char *name;
    int pages;
};
struct pen_handouts {
    struct pen_handout *at;
    size_t n;
    int strange; /* letters without a font */
};

struct pen_inside {
    cairo_surface_t *surface;
    cairo_t *cr;
    PangoContext *context;
    double width, height; /* of the paper */
    double first;         /* where the text of this page begins, below its head */
    struct pen_handouts *all;
    size_t handout;              /* this one, from 1; 0 before the first page */
    bool endless;                /* a height is measured: no page ends */
    void (*turn)(struct pen *p); /* to the next page of the same */
};

#endif
