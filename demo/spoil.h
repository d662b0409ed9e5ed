/* What a lens, the light and a sensor do to the picture that was drawn. */
#ifndef DEMO_SPOIL_H
#define DEMO_SPOIL_H

#include <stdint.h>

#include "demo/canvas.h"

struct spoil {
    double blur_px;  /* sd of a Gaussian; 0 none */
    double contrast; /* of what was drawn, about a middle grey; 1 all */
    double noise;    /* sd in levels, half of it in color; 0 none */
    double glare;    /* share of white that the sun adds where it shines in, up left; 0 none */
    uint64_t seed;
};

struct spoiler;

/* Does it change anything? */
bool spoil_does(const struct spoil *s);
/* In the arena. Width and height are even. */
struct spoiler *spoiler_make(struct arena *a, const struct spoil *s, int width, int height);
/* The spoiled copy; good until the next call. The same frame number gives the same noise. */
const struct planes *spoil(struct spoiler *sp, const struct planes *clean, uint64_t frame);

#endif
