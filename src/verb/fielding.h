/* What the files of `boxcall field` share. */
#ifndef VERB_FIELDING_H
#define VERB_FIELDING_H

#include "app/field.h"
#include "app/ties.h"
#include "field/ghost.h"
#include "field/who.h"
#include "paper/field.h"
#include "verb/verb.h"

struct fielding {
    struct call *c;
    struct app *app;
    const struct clip *clip;
    enum format as;
    size_t n;                 /* words behind the sub-verb */
    const char *const *words; /* they */
    struct field_view view;
};

/* "812,430.5": pixels of the picture as shown, in it. */
bool field_pixel_read(const struct fielding *f, const char *text, struct pixel *out, struct err *e);
/* The words from `from` on, as one text: a shell may have parted a spot in pieces. */
const char *words_from(const struct fielding *f, size_t from);

/* A time within the clip. */
bool field_time(const struct fielding *f, const char *text, int64_t *us, struct err *e);
/* The camera at a time, found and followed if need be; what must be said of it is said. */
bool field_camera_at(struct fielding *f, const char *time, int64_t *us, struct seen_by *out,
                     struct err *e);
/* Clicks in the picture at a time (the first word), from word `from` on, on the ground; refused further
 * off the field than anybody drills (show/grid.h). */
struct field_clicked {
    int64_t us;
    struct pixel *px;
    struct measured m;
    struct seen_by by;
};
bool field_clicks(struct fielding *f, size_t from, struct field_clicked *out, struct err *e);

/* Where everybody should be at a time: performers with a dot then. Not tied or without dots: n 0, with
 * the reason in e and true when `must` is false. */
struct field_dots_then {
    int *performer;         /* position in the show */
    struct field_place *at; /* inches */
    size_t n;
};
bool field_dots_at(struct fielding *f, int64_t us, bool must, struct field_dots_then *out,
                   struct err *e);
/* Who most likely stands at each click, all at once; "" where that is not clear: nobody's dot is near, or
 * another is about as likely who was not clicked on. In the call's memory. */
const char **field_likely(struct fielding *f, const struct field_dots_then *dots,
                          const struct measured *m);

/* --mark: what was measured becomes marks, in one step. With --target they are of those; without, of the
 * performers who are likely there. */
struct field_marking {
    bool asked;
    int fault;
    double tolerance; /* steps of 22.5 in: INTERVAL_TOLERANCE_IN, or --tolerance */
    const struct target *targets;
    size_t n_targets;
    struct mark_list marks;
    size_t nobody;  /* to be marked, but nobody knows who that is */
    struct err why; /* why nobody does, "" */
};
struct field_found {
    int64_t us, end_us;     /* end_us 0: a moment */
    const char *who[2];     /* labels; "" or NULL: not known */
    struct measure measure; /* of no kind: a place alone */
    struct field_place at;  /* inches */
};
bool field_marking_of(struct fielding *f, struct field_marking *out, struct err *e);
/* By more than both the error and the tolerance, all steps. */
bool field_is_off(const struct field_marking *m, double off, double error);
void field_mark_found(struct fielding *f, struct field_marking *m, const struct field_found *found);
/* Stores them and says so, or that nobody is off. Nothing without --mark. */
bool field_marking_done(struct fielding *f, struct field_marking *m, struct err *e);

struct field_reach field_reach_of(struct fielding *f, int64_t us, bool whole);
bool field_dots_of(struct fielding *f, struct set_count when, struct field_dots_then *out);
bool field_no_dots(const struct fielding *f, struct err *e); /* the error that says so */
struct who_ask field_who_ask(const struct field_dots_then *dots, const struct measured *m,
                             size_t i);
/* How far off the dot, in units of what is usual and of the click's error together. */
double field_far_off(const struct who_ask *a, double off);

bool verb_field_pick(struct fielding *f, struct err *e);
bool verb_field_line(struct fielding *f, struct err *e);
bool verb_field_unpick(struct fielding *f, struct err *e);
bool verb_field_at(struct fielding *f, struct err *e);
bool verb_field_pixel(struct fielding *f, struct err *e);
bool verb_field_gaps(struct fielding *f, struct err *e);
bool verb_field_fit(struct fielding *f, struct err *e);
bool verb_field_pace(struct fielding *f, struct err *e);
bool verb_field_corner(struct fielding *f, struct err *e);
bool verb_field_angle(struct fielding *f, struct err *e);
bool verb_field_who(struct fielding *f, struct err *e);
bool verb_field_check(struct fielding *f, struct err *e);
bool verb_field_dots(struct fielding *f, struct err *e);
bool verb_field_camera(struct fielding *f, struct err *e);
bool verb_field_picks(struct fielding *f, struct err *e);

#endif
