/* What the files of the pane share; nobody else includes this. */
#ifndef PANE_INSIDE_H
#define PANE_INSIDE_H

#include <zlib.h>

#include "pane/graphics.h"
#include "pane/pane.h"
#include "pane/cells.h"
#include "pane/wire.h"

/* Room for cells in a segment; the rest is for taking an image off and for the end. */
enum { PANE_CELL_ROOM = PANE_SEGMENT - 96 };

struct picture {
    bool present;
    enum pane_pace pace;
    int width, height;
    rgb *px; /* width x height */
    size_t room;
};

/* Images on the terminal, and the one that is being sent. */
struct images {
    bool shared_on;   /* an image from shared memory is on the screen */
    uint32_t sent_on; /* id of the image sent by chunks that is on the screen, 0 none */
    bool strips_on;   /* sixel strips are, over cells whose look is not known */
    uint32_t sending; /* id of the one being sent, 0 none */
    bool begun;       /* its first chunk is out */
    bool cut;         /* a sending was given up and is to be ended */
    z_stream deflate; /* of the one being sent */
    bool deflating;
    uint8_t *row;                                           /* of pixels, being deflated */
    enum { STAGE_COARSE, STAGE_STRIPS, STAGE_EXACT } stage; /* of a sixel still */
    struct sixel sixel;
    rgb *coarse;     /* cols x 2 rows, what cells show until a sharper picture is there */
    unsigned serial; /* of shared memory objects */
};

struct pane {
    struct term_caps caps;
    struct wire wire;
    struct cells cells;
    struct picture next, cur; /* offered and not begun; begun or shown */
    bool drawing;             /* cur is not written to its end */
    size_t at;                /* how far it is, as its drawer counts */
    struct cells_care care;
    struct patch *grid; /* rows x cols, for drawers that make whole cells */
    rgb *coarse;        /* cols x 2 rows, made from a larger picture */
    struct images images;
    int64_t purse; /* bytes that a moving picture may still spend; grows with time */
    int64_t purse_us;
    int64_t frames, dropped;
};

/* One way to show a picture. */
struct drawer {
    bool alone; /* each segment waits until all before it are answered for */
    void (*size)(const struct pane *p, enum pane_pace pace, int *width, int *height);
    void (*begin)(struct pane *p); /* p->cur is new, p->at is 0 */
    /* Adds what fits a segment; true when the picture is complete. */
    bool (*step)(struct pane *p, struct brush *b);
};

extern const struct drawer draw_cells;   /* half blocks, or characters alone */
extern const struct drawer draw_symbols; /* the best characters chafa finds */
extern const struct drawer draw_shared;  /* kitty, through shared memory */
extern const struct drawer draw_sent;    /* kitty, in the stream */
extern const struct drawer draw_sixel;

/* shape.c */

/* Of a cell, in pixels; 8 x 16 where the terminal does not say. */
int shape_cell_width(const struct pane *p);
int shape_cell_height(const struct pane *p);
/* Are the halves of a cell near enough to squares (4 %) for a pixel each? */
bool shape_square_halves(const struct pane *p);
/* The size of the hole in square pixels, made smaller (same shape) to have at most so many. */
void shape_pixels(const struct pane *p, int64_t most, int *width, int *height);
/* Makes p->coarse from p->cur. */
void shape_coarse(struct pane *p);

/* draw_images.c */

/* An image that is being sent will not be completed. */
void images_give_up(struct pane *p);
/* Ends a sending that was given up, so that other commands may follow. */
void images_end_cut(struct pane *p, struct buf *out);
/* Is there anything that images_end_cut() or images_off() would write? */
bool images_any(const struct pane *p);
/* Every image off the screen, whatever it came by. */
void images_off(struct pane *p, struct buf *out);
/* The terminal has lost all images (its screen was cleared). */
void images_lost(struct pane *p);
void images_close(struct pane *p);

#endif
