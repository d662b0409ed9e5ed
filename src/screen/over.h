/* What lies over the picture, drawn into a picture for the terminal or as shapes for the window. Inner
 * to the room. */
#ifndef SCREEN_OVER_H
#define SCREEN_OVER_H

#include "base/buf.h"
#include "command/over.h"
#include "pane/pane.h"

/* Where the picture lies in what is shown, in parts of it: its left, top, width and height. */
struct over_frame {
    double x, y, w, h;
};
/* Of a picture of width x height fitted into a pane of so many pixels. */
struct over_frame over_fitted(int width, int height, int pane_width, int pane_height);

struct measuring;
/* The place in the picture, 0..1, at a part of the pane (u, v), while the picture around the crosshair
 * is shown `times` as large. */
struct pane_spot over_place(const struct measuring *m, const struct over_frame *fit, int times,
                            double u, double v);

/* Room for a picture that is drawn on: so large, in memory that stands until the next one. */
struct over_room {
    int width, height;
    struct buf *memory;
};
/* Draws into a copy of the picture, which is cut to the room, around what the crosshair is on, where it
 * is larger. */
struct pane_image over_paint(const struct over *o, const struct over_frame *at,
                             const struct pane_image *f, const struct over_room *room);
/* ASS events in a space of 1280 x 720; appended. */
void over_shapes(const struct over *o, const struct over_frame *at, struct buf *ass);

#endif
