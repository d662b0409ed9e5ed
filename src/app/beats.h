/* The beat, from the clip's own sound. */
#ifndef APP_BEATS_H
#define APP_BEATS_H

#include "app/app.h"
#include "count/beats.h"

struct beats_choice {
    const char *path; /* of the clip */
    const struct map *map;
    int64_t length_us; /* of the clip */
    double distance_m; /* from the sound to the microphone; 0: not known, beats stay as heard */
    double celsius;
    double bpm;                                /* expected where no set is tied; 0: not known */
    bool (*progress)(void *user, double part); /* NULL, or returns false to cancel */
    void *user;
};

/* Listens to the clip and finds its beats. Where the map places sets their tempo is expected, else
 * choice->bpm, else every tempo from 90 to 200. False with e->code ERR_NONE when cancelled. */
bool app_beats(const struct beats_choice *choice, struct arena *mem, struct beats *out,
               struct err *e);

#endif
