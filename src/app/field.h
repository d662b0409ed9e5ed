/* The field in a clip's pictures: where a pixel is on the ground, and the other way. */
#ifndef APP_FIELD_H
#define APP_FIELD_H

#include <stdatomic.h>

#include "app/app.h"
#include "app/find_film.h"
#include "field/alone.h"
#include "field/follow.h"
#include "field/measure.h"
#include "field/track.h"
#include "store/field.h"

struct field_view {
    struct app *app;
    const struct clip *clip; /* stands as long as the app's clips do */
    struct arena *memory;    /* of all below */
    struct field_pick_list picks;
    struct track_key key; /* of picks, ground and clip as they are */
    enum {
        FIELD_UNKNOWN, /* nothing was found yet */
        FIELD_ALONE,   /* by what was pointed at alone: no lines agree with it */
        FIELD_LINES,   /* followed by the lines */
    } by;
    struct track track; /* FIELD_LINES; in pixels of the pictures it was followed in */
    struct alone alone; /* FIELD_ALONE: of one moment */
    int64_t alone_us;
    char why[600]; /* FIELD_ALONE: why the lines do not hold it */
};

/* What is stored: the picks, and the track when it was made from them. */
bool app_field(struct app *a, const struct clip *c, struct arena *mem, struct field_view *out,
               struct err *e);

/* A pick as a person makes it: refused outside the picture, the clip or the ground; where it is the
 * same as another. Its number among the picks. */
bool app_field_pick(struct app *a, const struct clip *c, struct field_pick *p, int *number,
                    struct err *e);

/* Finds the camera from the picks, if it is not known: by the lines of the picture where most of them
 * are, else by the picks alone. What was found is stored. */
bool app_field_find(struct field_view *v, struct err *e);
/* The same in two halves, between which a thread may do the work (app/find_film.h): what is to be
 * searched for, and what was found. */
bool app_field_search(struct field_view *v, struct film_search *out, struct err *e);
bool app_field_found(struct field_view *v, const struct film_found *found, struct err *e);

/* How far to follow, and who wants to know. */
struct field_reach {
    bool whole; /* all of the clip; else until `us` is followed */
    int64_t us;
    const atomic_bool *stop; /* may be NULL: ends early, with what was followed kept */
    void (*progress)(void *user, double part);
    void *user;
};
/* Follows the camera by the lines from where it was followed to, and keeps it in the show file as it
 * goes. Nothing to do by picks alone. */
bool app_field_follow(struct field_view *v, const struct field_reach *reach, struct err *e);

/* The camera of the picture that shows at a time, in pixels as shown. False with ERR_INPUT and the
 * reason: no picks, not followed to there, lost there. note (may be NULL, else empty or a sentence):
 * what must be said of it. */
bool app_field_seen(const struct field_view *v, int64_t us, struct seen_by *out, struct buf *note,
                    struct err *e);

/* How well the lines of the picture at a time are met: NAN where that is not known. */
struct field_meets {
    double px, steps; /* root of the mean square */
};
bool app_field_meets(const struct field_view *v, int64_t us, struct field_meets *out,
                     struct err *e);
/* What became of the camera over what was followed. */
struct field_story {
    bool still;      /* it never moved */
    int64_t *bumped; /* when it was knocked: it stood still before and soon after */
    size_t n_bumped;
    struct field_lost {
        int64_t from_us, to_us; /* the first and the last frame without the lines */
    } * lost;
    size_t n_lost;
};
void app_field_story(const struct field_view *v, struct arena *mem, struct field_story *out);
/* The moment that the camera was found at. */
int64_t app_field_moment(const struct field_view *v);

/* All of it: found, followed to the time, seen. */
bool app_field_at(struct field_view *v, const struct field_reach *reach, struct seen_by *out,
                  struct buf *note, struct err *e);

#endif
