/* The beat, found in the sound of a clip.
 *
 * In: onsets, the moments at which sounds begin, with their strength. Out: beats, by dynamic
 * programming over onset strength (D. P. W. Ellis, 'Beat Tracking by Dynamic Programming', Journal
 * of New Music Research 36(1), 2007, 51-60), with three changes. Time is first measured in beats of
 * the expected tempo, so that a written ritardando is as easy as a steady pulse. The period is not
 * one number but a path of least effort through windows of 16 beats. And each beat is refined: a
 * robust line through the onsets of the beats around it says where it lies and how fast it goes.
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

struct tempo_point {
    int64_t at_us;
    double bpm;
};

/* The tempo to expect: straight between the points, level before and after them. One point is one
 * tempo throughout; none: 90 to 200 bpm are tried. Slower or faster music is then heard an octave
 * off, and from 180 bpm on half the tempo is taken where every other beat is less than two fifths
 * as strong, since beats and the halves between them sound just so. */
struct beat_prior {
    const struct tempo_point *points; /* in time order, bpm 20 .. 400 */
    size_t n;
    double width; /* how far the band may be off, as a part of it; 0: 0.15 */
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

/* Finds the beats; about 0.1 s for a minute of sound. False, with nothing
 * made, when too little sounds or what sounds holds no steady beat; e says which. */
bool beats_find(struct arena *a, struct onsets onsets, const struct beat_prior *p,
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
