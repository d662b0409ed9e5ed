/* What the pen's own files share. */
#ifndef SHEET_PEN_INSIDE_H
#define SHEET_PEN_INSIDE_H

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include "sheet/pen.h"

#define PEN_FONT "sans-serif"

struct pen_inside {
    cairo_surface_t *surface;
    cairo_t *cr;
    PangoContext *context;
    double width, height; /* of the paper */
    double first;         /* where the text of this page begins, below its head */
    double low;           /* where a line of text ends at the latest; below p->bottom in the foot */
    bool endless;         /* a height is measured: no page ends */
    void (*turn)(struct pen *p); /* to the next page of the same */
};

#endif
