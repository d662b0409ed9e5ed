/* The beat, found in the sound of a clip.
 *
 * In: rises, how much new sound there is every so often, and onsets, the moments at which sounds
 * begin. Out: beats, by dynamic programming (after D. P. W. Ellis, 'Beat Tracking by Dynamic
 * Programming', Journal of New Music Research 36(1), 2007, 51-60). Where a tie says which count it
 * is, the path follows the drill from there, count by count, at the written tempo times a ratio that
 * changes little: ramps and holds are where they are written, and what is played off the beat cannot
 * draw the path away. Elsewhere the strongest regular pulse near the usual tempo is taken. Then each
 * beat is refined: a robust curve through the onsets of the beats around it says where it lies and
 * how fast it goes.
 *
 * A clip is silent, talked over or played in turn: beats come in runs, and where nothing steady is
 * heard there are none. */
#ifndef COUNT_BEATS_H
#define COUNT_BEATS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/err.h"
#include "count/map.h"

struct onset {
    int64_t at_us;
    double strength; /* > 0, any unit: only compared with its neighbours */
};

/* In time order. */
struct onsets {
    const struct onset *at;
    size_t n;
};

/* What a clip sounds like. */
struct beat_sound {
    struct onsets onsets;
    const float *rise; /* any unit: only compared with what is around */
    const float *loud; /* the same as amplitude; what is far below the usual is not playing */
    size_t n_rises;
    int64_t from_us, step_us; /* time of the first, and between them: 10000 */
};

struct tempo_point {
    int64_t at_us;
    double bpm;
};

/* The tempo to expect: straight between the points, level before and after them. One point is one
 * tempo throughout; none: 60 to 200 bpm are tried, 128 is the likeliest. */
struct beat_prior {
    const struct tempo_point *points; /* in time order, bpm 20 .. 400 */
    size_t n;
    const struct map *map; /* whose ties are followed; NULL: none */
};

/* What the map expects between two times, every quarter of a second where a set is placed. */
struct beat_prior beat_prior_of_map(struct arena *a, const struct map *m, int64_t from_us,
                                    int64_t to_us);

struct beat {
    int64_t at_us;
    double bpm;        /* here, from the beats around it */
    double confidence; /* 0 .. 1 */
    bool heard;        /* a sound began on it; else it lies between ones that were heard */
};

/* Beats without a stop between them; they can be counted through. */
struct beat_run {
    size_t first, n;   /* its beats */
    double confidence; /* mean */
};

struct beats {
    struct beat *beat;
    size_t n;
    struct beat_run *run;
    size_t n_runs;
};

/* Finds the beats; some 20 ms for a minute of sound. False, with nothing made, when too little sounds
 * or what sounds holds no steady beat; e says which. */
bool beats_find(struct arena *a, const struct beat_sound *sound, const struct beat_prior *p,
                struct beats *out, struct err *e);

/* Puts all beats back by the time that sound took to the microphone. */
void beats_put_back(struct beats *b, int64_t delay_us);

struct beat_tie {
    struct map_anchor tie;
    double confidence; /* the least of the beats counted through to get there */
};

struct beat_ties {
    struct beat_tie *at; /* in time order */
    size_t n;
};

/* Ties for the beginnings of sets, counted off from one that a person made: the beat nearest to it
 * is its count, the next beat the next count, and so on to both ends of the run, or to a hold, in
 * which nobody can count. No written tempo is needed. In the arena. NULL when no
 * beat lies within a third of a beat of the known tie, or its count is not a whole one. */
const struct beat_ties *beats_ties(struct arena *a, const struct beats *b, struct moves sets,
                                   const struct map_anchor *known, struct err *e);

#endif
