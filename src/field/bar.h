/* White bars in a picture, to a part of a pixel. Inner to the room. */
#ifndef FIELD_BAR_H
#define FIELD_BAR_H

#include "field/camera.h"
#include "field/lock.h"

struct bar_ask {
    struct pixel at;  /* where it is expected */
    double normal[2]; /* unit vector: where it is looked for, to either side */
    double along[2];  /* unit vector along the bar */
    double length;    /* pixels along it that are looked at together, as many as noise asks for */
    double width;     /* pixels in the direction of the search */
    double reach;     /* looked for so far to either side */
    double least_bright; /* grey levels that it must be above both its sides, in a clear picture */
    double noise;        /* of the picture, sd in grey levels */
};

struct bar {
    double offset;   /* how far along the normal its middle lies, pixels */
    double contrast; /* grey levels */
    double sd;       /* what the picture's noise makes of that, pixels */
};

/* The best bar. False: there is none that is above noise, or the picture ends. */
bool bar_find(const struct luma *l, const struct bar_ask *ask, struct bar *out);

/* The sd of a picture's noise in grey levels, from how its neighbours in a row differ from a straight
 * run: Immerkaer, "Fast Noise Variance Estimation", Computer Vision and Image Understanding 64(2),
 * 1996 (the idea; from memory), by the median instead of the mean, which lines do not move. */
double luma_noise(const struct luma *l);

#endif
