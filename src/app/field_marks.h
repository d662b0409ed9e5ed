/* Marks and the field in a clip's pictures: where a mark is, and what marks tell of people. */
#ifndef APP_FIELD_MARKS_H
#define APP_FIELD_MARKS_H

#include "app/field.h"

/* The mark's place on the field: where a pixel of the picture as shown is on the ground. The field is
 * found and followed to there if need be. False with the reason: nobody said where the field is, it is
 * lost there, the sky, off the ground. */
struct mark_click {
    struct pixel at;
    struct field_reach reach; /* to the mark's time */
    struct buf *note;         /* what must be said of it, as in app_field_seen() */
};
bool app_mark_place(struct field_view *v, const struct mark_click *click, struct mark *m,
                    struct err *e);

/* Stores the marks with their places in the drill, in one step. One that is there already (the same
 * time, people and fault) is not made again: its id is the old one. */
bool app_mark_all(struct app *a, const struct clip *c, const struct mark_list *marks,
                  const char *what, struct err *e);

/* How far from their dots the people of a clip stand: by the marks with a place on the field that speak
 * of one performer alone, who has a dot there and then (field/spread.h). */
struct field_spread {
    double sd_in; /* inches in each direction */
    size_t samples;
};
bool app_field_spread(struct app *a, const struct clip *c, struct arena *mem,
                      struct field_spread *out, struct err *e);

#endif
