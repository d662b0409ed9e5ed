/* The field in the pictures of the open clip: where it is, followed by a thread while the person
 * works, and what of it is drawn over the picture. */
#ifndef COMMAND_GROUND_H
#define COMMAND_GROUND_H

#include "app/field.h"
#include "command/desk.h"
#include "field/ghost.h"

struct ground_shown {
    bool lines;  /* the field's lines over the picture */
    bool ghosts; /* where everybody should be */
    bool labels; /* with their labels */
};
const struct ground_shown *ground_shown(const struct desk *d);

/* The field of the open clip; NULL while no clip is open or it could not be read. */
const struct field_view *ground_view(const struct desk *d);
/* The camera of the frame on screen, in pixels as shown. False: not known there. */
bool ground_seen(const struct desk *d, struct seen_by *out);
/* How far it is followed in the background, 0 .. 1; negative while nobody works at it. */
double ground_followed(const struct desk *d);

/* Finds the camera once enough is picked and follows it, in the background; says why not. */
void ground_work(struct desk *d);
/* A pick was made or taken off. */
void ground_picked(struct desk *d);

/* Everybody's dot at the count on screen, as far as the clip is tied and they have one. */
struct ground_dots {
    struct who_dot {
        int performer;
        struct dot_place at; /* grid steps */
    } * at;
    size_t n;
};
/* At another time of the clip; in `mem`. */
void ground_dots(const struct desk *d, int64_t us, struct arena *mem, struct ground_dots *out);

#endif
