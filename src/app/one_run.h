/* Two clips of one run, taken from two places, on one clock: that of the first of them. Only where
 * both are tied to the drill; else each goes by its own. */
#ifndef APP_ONE_RUN_H
#define APP_ONE_RUN_H

#include "count/map.h"
#include "store/store.h"

struct run_clock {
    const struct map *own, *lead; /* the same one: its own clock */
};

/* A time of the clip on the lead's clock. False where it is not placed in both. */
bool run_time(const struct run_clock *c, int64_t us, int64_t *out);

/* A watched stretch on the lead's clock: `fn` gets its pieces; what is not placed in both is left
 * out. */
void run_stretch(const struct run_clock *c, const struct stretch *at,
                 void (*fn)(void *ctx, const struct stretch *piece), void *ctx);

#endif
