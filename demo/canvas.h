/* The picture being drawn, over a still ground. Only the tiles that figures touch are restored and
 * turned into video planes, since most of the field never changes. */
#ifndef DEMO_CANVAS_H
#define DEMO_CANVAS_H

#include <cairo.h>
#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"

struct planes {
    uint8_t *y, *u, *v; /* 4:2:0, limited range, ITU-R BT.709; rows are width and width/2 bytes */
};

struct canvas {
    int width, height; /* even */
    cairo_surface_t *ground, *page;
    cairo_t *cr; /* draw here */
    int columns, rows;
    uint8_t *tile; /* bit 0: touched in this frame, bit 1: in the one before */
    struct planes planes;
};

/* Takes the ground surface over. False when there is no memory for the picture. */
bool canvas_open(struct arena *a, struct canvas *c, cairo_surface_t *ground, int width, int height);
void canvas_close(struct canvas *c);
/* Another ground below what is drawn, taken over; the next frame is new all over. */
void canvas_ground(struct canvas *c, cairo_surface_t *ground);
/* Begins a frame: what the last one touched is ground again. */
void canvas_clear(struct canvas *c);
/* Says that something is drawn inside this box (pixels; clipped). */
void canvas_touch(struct canvas *c, double left, double top, double right, double bottom);
/* Ends a frame: the planes hold it. */
void canvas_finish(struct canvas *c);

#endif
