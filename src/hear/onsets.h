/* Where sounds begin in a clip. */
#ifndef HEAR_ONSETS_H
#define HEAR_ONSETS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/err.h"

struct hear_onset {
    int64_t at_us;   /* media time, within a few ms of where it begins */
    double strength; /* how much louder the 20 ms from there on are than what went before: root of
                      * the difference of mean squares, samples -1 .. 1 */
};

/* How much new sound there is, every HEAR_STEP_US. */
enum { HEAR_STEP_US = 10000 };
struct hear_rise {
    float *rise; /* on a log scale, each band by its own loudest: of use is only how the values
                  * compare with those around them */
    float *loud; /* the same in linear amplitude */
    size_t n;
    int64_t from_us; /* media time of the first */
};

struct heard {
    struct hear_onset *onset; /* in time order, in the arena */
    size_t n;
    struct hear_rise rises;
    int64_t from_us, to_us; /* the sound that was listened to */
    double loudness_db;     /* root mean square, 0 is full scale; -120 for silence */
};

/* Called now and then with how much is done, 0 .. 1; returns false to cancel. */
typedef bool (*hear_progress)(void *user, double part);

struct hear_want {
    const char *path;
    int64_t length_us;      /* of the clip: what sounds behind it is left out; 0: not known */
    hear_progress progress; /* may be NULL */
    void *user;
};

/* Listens to a whole clip: about a quarter of a second a minute, so best in a thread of its own (it keeps
 * no state between calls). False with e set when the clip cannot be heard; with e->code ERR_NONE
 * when progress cancelled it. A silent clip is heard, with no onsets. */
bool hear_onsets(const struct hear_want *want, struct arena *a, struct heard *out, struct err *e);

#endif
