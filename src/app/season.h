/* The clips of the season, each with what was made of it. */
#ifndef APP_SEASON_H
#define APP_SEASON_H

#include "app/app.h"

struct clip_sum {
    const struct clip *clip;
    int64_t marks;
    double watched; /* share of its length that anybody watched, 0 .. 1 */
    size_t ties;
    const char *by;   /* who marked it, else who watched it; "" nobody */
    const char *path; /* its file; NULL when it is not here */
};

/* One for each clip of the show, in its order. */
bool app_season(struct app *a, struct arena *mem, struct clip_sum **out, struct err *e);

#endif
