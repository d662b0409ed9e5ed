/* The field in depth: grid steps of drill paper and inches of the rule book. */
#include <string.h>

#include "show/show.h"

const struct grid *grid_named(const char *name)
{
    static const struct grid high_school = {28, 56, 84, 640, 1280, 1920};
    static const struct grid college = {32, 52, 84, 720, 1200, 1920};
    return strcmp(name, "high-school") == 0 ? &high_school
           : strcmp(name, "college") == 0   ? &college
                                            : NULL;
}

double grid_depth_in(const struct grid *g, double y)
{
    if (y <= g->front_hash)
        return y * g->front_hash_in / g->front_hash;
    if (y <= g->back_hash)
        return g->front_hash_in + (y - g->front_hash) * (g->back_hash_in - g->front_hash_in) /
                                      (g->back_hash - g->front_hash);
    return g->back_hash_in + (y - g->back_hash) * (g->back_sideline_in - g->back_hash_in) /
                                 (g->back_sideline - g->back_hash);
}
