/* The camera found from what was pointed at in one picture of a clip. Knows no show file, so that a
 * thread may do it. */
#ifndef APP_FIND_FILM_H
#define APP_FIND_FILM_H

#include "app/follow_film.h"
#include "field/alone.h"

struct film_search {
    const char *path;
    struct pointing pointing; /* in pixels of the picture as shown */
    int64_t us;               /* the picture that shows then */
    int64_t length_us;        /* of the clip */
    const atomic_bool *stop;  /* may be NULL: ends early, with nothing found and e->code ERR_NONE */
};

struct film_found {
    bool lines;
    int64_t us; /* the picture's own time */
    /* by the lines: a track with one piece of one frame, both below */
    struct track track;
    struct track_piece piece;
    struct track_frame frame;
    struct alone alone; /* by the picks alone */
    char why[600];      /* and why the lines do not hold it */
};

/* By the lines, else by the picks alone. A pick that keeps the others from agreeing with the lines is
 * left out when they are enough; it shows, since its miss is told. *out stays where it is while its
 * track is used. False with ERR_INPUT. */
bool film_find(const struct film_search *search, struct arena *mem, struct film_found *out,
               struct err *e);

#endif
