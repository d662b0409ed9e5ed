/* A clip of the demo's with all that is true of it: where its camera was and who stood where. */
#ifndef DRILL_FILM_H
#define DRILL_FILM_H

#include "drill/drill.h"
#include "field/camera.h"
#include "field/track.h"
#include "show/grid.h"

enum { FILM_FRAMES = 400, FILM_PEOPLE = 100 };

struct film {
    const char *dir, *show, *clip;
    const struct grid *grid;
    size_t n; /* frames */
    double ms[FILM_FRAMES];
    struct camera camera[FILM_FRAMES];
    const char *who[FILM_PEOPLE];
    size_t people;
    struct field_place place[FILM_FRAMES][FILM_PEOPLE];
    json_t *truth;
};

/* demo-clip with these options; the show has the band and the dots of that field, the clip is 't'.
 * Lives until the end. */
struct film *film_make(const char *field, const char *options);
/* The same, each of its pictures bent behind the camera by some pixels, as telephones do. */
struct film *film_bent(const char *field, const char *options);
/* Tied where its sets begin by the truth, as far as they do in the clip or before it. */
void film_tie(const struct film *f, const char *set);

/* Four spots, each `off` pixels of a picture of 1080 lines from where it truly is. */
void film_pick(const struct film *f, size_t frame, double off);
/* Where somebody's feet are in a picture, in the words of the command line; sd pixels off. */
const char *film_feet(const struct film *f, size_t frame, const char *who, double sd);
struct pixel film_pixel(const struct film *f, size_t frame, struct field_place at);
struct field_place film_place(const struct film *f, size_t frame, const char *who);
/* A frame's time as the command line takes it, in the middle of how long it shows. */
const char *film_time(const struct film *f, size_t frame);

/* What is followed, straight from the show file, as boxcall-show.5 says it is kept. */
struct film_track {
    struct camera camera[FILM_FRAMES];
    int64_t us[FILM_FRAMES];
    bool held[FILM_FRAMES];
    size_t n, pieces;
    int views; /* pictures out of which its place was found */
    bool whole;
};
void film_track(const struct film *f, const char *show, struct film_track *out);
/* Share of the clip's frames whose camera is held and off by no more than so many steps, root of the
 * mean square between the 20-yard lines; *worst may be NULL. */
double film_within(const struct film *f, const struct film_track *t, double steps, double *worst);

#endif
