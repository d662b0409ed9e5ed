/* A clip tied to the drill. */
#ifndef APP_TIES_H
#define APP_TIES_H

#include "app/app.h"
#include "count/map.h"

/* The show's sets as the count room takes them; lives in mem. */
struct moves app_moves(const struct show *show, struct arena *mem);

/* The clip's map from its stored ties; ties (may be NULL) receives them, those that rest included.
 * What it holds of the show is copied into mem. NULL with e set. */
const struct map *app_map(struct app *a, const struct clip *c, struct arena *mem,
                          struct tie_list *ties, struct err *e);

/* Would this tie, which says nothing about it itself, part the run of the drill in two? Then `why`
 * receives the sentence that a person is asked about (a wrong time or set looks just like a new
 * run), else nothing. False with e when the tie is not possible at all. */
bool app_tie_parts(struct app *a, const struct clip *c, const struct tie *t, struct buf *why,
                   struct err *e);

/* New, removed, moved: the clip's marks get their set and count anew in the same step. What the map
 * refuses (two sets at one time, a count that is not there) is not stored. `what` names the step
 * for undo; NULL for one from a script. */
bool app_tie(struct app *a, const struct clip *c, const struct tie *t, const char *what,
             struct err *e);
bool app_untie(struct app *a, const struct clip *c, int64_t at_us, const char *what, struct err *e);
struct tie_move {
    const struct tie *tie;
    int64_t to_us;
};
bool app_tie_move(struct app *a, const struct clip *c, struct tie_move move, const char *what,
                  struct err *e);

/* After the sets changed: all marks of all clips. */
bool app_place_all(struct app *a, struct err *e);
/* One mark that came back by undo; one that is not there is no error. */
bool app_place_one(struct app *a, int64_t mark, struct err *e);
/* Sets set and count of a mark that is about to be stored; -1 outside every stretch. */
void app_place_mark(const struct map *map, struct mark *m);

/* Takes this author's last step back (or does it again): the show is read again and marks have
 * their place in the drill within the same step. False with e->code ERR_NONE when there is none.
 * Whatever comes of it, positions in `show` may have moved. */
bool app_travel(struct app *a, bool back, char what[100], struct err *e);

#endif
