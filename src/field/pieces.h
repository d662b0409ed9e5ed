/* Pieces of paint looked for in a picture. Inner to the room. */
#ifndef FIELD_PIECES_H
#define FIELD_PIECES_H

#include "field/lock.h"

/* What pieces tell of: the camera's parameters, and the sidelines' width, of which the inner edge
 * stays where it is. */
enum { PIECE_WIDTH = CAMERA_PARAMETERS, PIECE_PARAMETERS };

/* A piece that was looked for and whose bar was found. */
struct piece {
    struct pixel at;  /* where the camera has it */
    double normal[2]; /* across the line */
    double miss;      /* pixels across the line: the bar from where the camera has it */
    double slope[PIECE_PARAMETERS];
    double sd; /* pixels: how well such a bar is found, before anything else is known */
    double weight;
    int line, stretch; /* pieces of one stretch are neighbours on one line */
};

struct pieces {
    struct piece *at; /* heap memory */
    size_t n, cap, expected;
};

/* Looks for all paint that the camera expects, every `step`-th piece of it. */
struct look {
    const struct luma *picture;
    const struct paint_list *paint;
    double noise; /* of the picture: luma_noise() */
    double reach; /* pixels */
    size_t step;
};
void pieces_look(const struct look *how, const struct camera *c, struct pieces *out);
/* As many pieces as are looked for as one in so noisy a picture. */
size_t look_step(double noise);
void pieces_free(struct pieces *p);

/* One piece by itself: the bar's distance across the line in pixels, and pixels an inch there. */
bool piece_find(const struct look *how, const struct camera *c, const struct painted *p,
                double *offset, double *pixels_an_inch);

#endif
