/* A clip's pictures followed by the lines of its field. Knows no show file, so that a thread may do it.
 */
#ifndef APP_FOLLOW_FILM_H
#define APP_FOLLOW_FILM_H

#include <stdatomic.h>

#include "field/calibrate.h"
#include "field/track.h"

/* The longer side of the pictures that are followed, pixels: more costs time and says no more. */
enum { FILM_MOST = 1920 };

struct film_job {
    const char *path;
    int64_t length_us;
    const struct grid *grid;
    const struct track *track; /* so far; its last or first frame is gone on from */
    bool whole;                /* to both ends; else until `us` is followed */
    int64_t us;
    const atomic_bool *stop; /* may be NULL */
    /* Takes a piece, once its frames are done; `t` is what is followed then. False ends the work. */
    bool (*keep)(void *user, const struct track *t, const struct track_piece *p, struct err *e);
    void (*progress)(void *user, double part); /* may be NULL */
    void *user;
};

/* False with e where the clip could not be read or keep() said no; true also when it was stopped. */
bool film_follow(const struct film_job *job, struct err *e);

/* The picture that shows at a time, as it is followed: made smaller when it is larger. In heap
 * memory, free(picture->at) later; *at_us its own time. */
bool film_picture(const char *path, int64_t us, struct luma *out, int64_t *at_us, struct err *e);

/* The camera of one picture, its fixed part found in `views` of them. */
struct film_fixed {
    struct lock_fit fit;
    double sideline_width;
    int views;
    int64_t us;
};
/* A track of that picture alone: one piece of one frame, both the caller's. */
void film_begin(const struct film_fixed *fixed, struct track *t, struct track_piece *piece,
                struct track_frame *frame);

#endif
