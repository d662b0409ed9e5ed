/* White bars in a picture, to a part of a pixel. Inner to the room. */
#ifndef FIELD_BAR_H
#define FIELD_BAR_H

#include "field/camera.h"
#include "field/lock.h"

struct bar_ask {
    struct pixel at;     /* where it is expected */
    double normal[2];    /* unit vector across it */
    double width;        /* pixels */
    double reach;        /* looked for so far to either side */
    double least_bright; /* grey levels that it must be above both its sides */
};

/* How far along the normal the best bar lies. False: there is none, or the picture ends. */
bool bar_find(const struct luma *l, const struct bar_ask *ask, double *offset);

#endif
