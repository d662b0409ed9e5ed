/* Cameras that picks may mean, the likeliest by the picture first: from clicks that are a dozen
 * pixels off a lock may fall on a neighbouring line. Inner to the room.
 *
 * Cameras are drawn by (fixed) chance from what the picks leave open, lens and crown with it, and
 * judged by how near the paint that each of them expects is to white bars of the picture: as in
 * Barrow, Tenenbaum, Bolles & Wolf, "Parametric Correspondence and Chamfer Matching", IJCAI 1977
 * (from memory). */
#ifndef FIELD_SEEK_H
#define FIELD_SEEK_H

#include "field/ridges.h"
#include "field/solve.h"

struct seek_ask {
    const struct ridges *ridges;
    double width, height; /* of the picture */
    const struct grid *grid;
    const struct pick *picks; /* spots */
    size_t n;
    struct prior prior[CAMERA_PARAMETERS];
};

enum { SEEK_MOST = 16 };
struct seek {
    struct camera at[SEEK_MOST]; /* the likeliest first */
    size_t n;
};

/* None where the picture shows no bars. False as camera_start() and camera_improve(). */
bool seek_cameras(const struct seek_ask *ask, struct seek *out, struct err *e);

#endif
