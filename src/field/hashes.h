/* Which rule book's hash marks does a picture show? */
#ifndef FIELD_HASHES_H
#define FIELD_HASHES_H

#include "field/lock.h"

/* The share of a ground's hash marks, of those that the camera has in the picture, that are seen where
 * they should be; 0 where fewer than twenty are expected. Near enough 1 on clean turf, and what chance
 * and people leave (a fifth or so) where the hashes are elsewhere. */
double hashes_seen(const struct luma *picture, const struct camera *c, const struct grid *g);

#endif
