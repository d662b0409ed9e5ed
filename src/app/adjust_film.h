/* What is fixed of a clip's camera (where it stands, its lens, the crown) out of several of its
 * pictures. Knows no show file, so that a thread may do it. Inner to the room. */
#ifndef APP_ADJUST_FILM_H
#define APP_ADJUST_FILM_H

#include "app/follow_film.h"

struct film_wide {
    const char *path;
    int64_t length_us;
    const struct grid *grid;
    const atomic_bool *stop; /* may be NULL: ends early, with what it has by then */
};

/* Out of what follows the picture it was found in, for two seconds, and out of some pictures spread
 * over the whole clip: noise that is another in each of them falls out, and turns and zooms part what
 * a single picture cannot. *fixed is of the picture at its `us`; it stays as it is where the others do
 * not agree. *holds: the lines and the numbers of that picture are where following expects them. False
 * with e where the clip cannot be read. */
bool film_adjust(const struct film_wide *w, struct film_fixed *fixed, bool *holds, struct err *e);

#endif
