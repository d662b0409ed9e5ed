#include "field/left_out.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"

enum { LEAST_PIECES = 12, GOAL_YARDS = 50, LINES_APART = 5 };

static struct paint_list without(const struct paint_list *all, int yards)
{
    struct paint_list l = {.at = xcalloc(all->n + 1, sizeof *l.at)};
    for (size_t i = 0; i < all->n; i++)
        if (all->at[i].kind != PAINT_YARD_LINE || all->at[i].line != yards)
            l.at[l.n++] = all->at[i];
    return l;
}

struct left_out left_out_check(const struct lock_ask *ask, const struct camera *camera)
{
    struct left_out out = {0};
    double squares = 0;
    for (int yards = -GOAL_YARDS; yards <= GOAL_YARDS; yards += LINES_APART) {
        if (lock_line_miss(ask, camera, yards).pieces < LEAST_PIECES)
            continue;
        struct paint_list rest = without(ask->paint, yards);
        struct lock_ask again = *ask;
        struct lock_fit fit;
        struct err none;
        again.paint = &rest;
        if (lock_camera(&again, camera, &fit, &none)) {
            const struct line_miss miss = lock_line_miss(ask, &fit.camera, yards);
            if (miss.pieces >= LEAST_PIECES) {
                squares += miss.steps * miss.steps;
                out.lines++;
            }
        }
        paint_free(&rest);
    }
    out.steps = out.lines ? sqrt(squares / out.lines) : 0;
    return out;
}
