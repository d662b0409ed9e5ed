/* The thread that finds the field in a clip and follows it. It works with copies and knows no desk and
 * no show file: what it has done is taken from it. Inner to command/ground.c. */
#ifndef COMMAND_GROUND_THREAD_H
#define COMMAND_GROUND_THREAD_H

#include "app/field.h"

struct ground_thread;

/* What it has done. */
struct ground_done {
    struct ground_done *next;
    struct track track; /* what is followed by then */
    bool piece;         /* with this one */
    struct track_piece at;
    struct track_frame frames[];
};

/* From what the view knows: the camera first, unless it is known. NULL: why not. */
struct ground_thread *ground_thread_begin(struct field_view *v, struct err *e);
const struct track_key *ground_thread_key(const struct ground_thread *t);
double ground_thread_share(const struct ground_thread *t); /* 0 .. 1 */

/* What it has done since this was asked last, oldest first; the caller frees each. */
struct ground_done *ground_thread_take(struct ground_thread *t);
/* The camera that it found; NULL: not yet, or it was known before. Stands as long as the thread. */
const struct film_found *ground_thread_found(const struct ground_thread *t);

/* Asks it to end. False: it looks for the camera, which it does to the end; nothing comes of it then. */
bool ground_thread_stop(struct ground_thread *t);
bool ground_thread_ended(const struct ground_thread *t);
/* Waits until it has ended. False: what went wrong. */
bool ground_thread_join(struct ground_thread *t, struct err *e);
/* Waits, and frees it with what was not taken. */
void ground_thread_free(struct ground_thread *t);

#endif
