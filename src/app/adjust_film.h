/* What is fixed of a clip's camera (where it stands, its lens, the crown) out of several of its
 * pictures. Knows no show file, so that a thread may do it. Inner to the room. */
#ifndef APP_ADJUST_FILM_H
#define APP_ADJUST_FILM_H

#include "app/follow_film.h"

/* Out of what follows the picture it was found in, for two seconds: noise that is another in each of
 * them falls out, and it is enough of a turn to part place and zoom, when there is one. *fixed is of
 * the picture at its `us`; it stays as it is where the others do not agree. False with e where the
 * clip cannot be read. */
bool film_adjust_near(const char *path, const struct grid *grid, struct film_fixed *fixed,
                      struct err *e);

/* Out of pictures spread over all of a job's track, which was followed. *fixed becomes that of
 * the picture at its `us`, which the track must have held. *better: it is another by more than a
 * fiftieth of a step somewhere on the field, so that following anew is worth while. */
bool film_adjust_spread(const struct film_job *job, struct film_fixed *fixed, bool *better,
                        struct err *e);

#endif
