/* Do performers come too near each other on their way from one set to the next?
 *
 * Everybody is taken to go straight and evenly from dot to dot, starting and arriving together. Two
 * meet when their centres come nearer than PATHS_NEAR_IN at any moment of the move, unless they
 * only stand that near where they start or end, or go in parallel: the distance never falls more
 * than PATHS_DIP_IN below the smaller one of its two ends. Both figures are common practice or our
 * own choice, no source: one step of 22.5 in is about a shoulder's breadth and a horn. Drill that
 * turns corners inside a move is not seen; it is no promise that nobody meets. */
#ifndef PLAN_PATHS_H
#define PLAN_PATHS_H

#include <stddef.h>

#define PATHS_NEAR_IN 22.5
#define PATHS_DIP_IN  5.625 /* a quarter of a step */

/* Inches from the 50 and from the front sideline at both ends of the move. */
struct path {
    double x0, y0, x1, y1;
    int who;
};

struct meeting {
    int a, b;      /* who */
    double inches; /* between centres where they are nearest */
    double part;   /* of the move that is over then, 0 to 1 */
};

/* How many pairs meet; `nearest` is the nearest of them. Sorts the paths. About n log n for a band
 * that is spread over the field, n x n at worst. */
size_t paths_meet(struct path *paths, size_t n, struct meeting *nearest);

#endif
