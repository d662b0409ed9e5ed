/* A piece of music as the drill needs it: its measures with their meters, its tempos, and the marks
 * that a rehearsal speaks of. Whatever file it came from, repeats are played out here: a measure
 * that is played twice stands here twice.
 *
 * Places are in quarter notes from the beginning (doubles; a MIDI file's ticks by its division, so
 * whole halves of quarters are exact). */
#ifndef SCORE_SCORE_H
#define SCORE_SCORE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"
#include "show/table.h"

struct meter {
    int beats, unit; /* 6/8 is 6 and 8; a composite 3+2/8 is 5 and 8 */
};

struct score_measure {
    double at, length; /* quarters; a pickup is shorter than its meter */
    struct meter meter;
    const char *number; /* as the file or, for MIDI, a musician would call it: "12" */
};

/* A tempo holds until the next: both formats write a ritardando as steps. */
struct score_tempo {
    double at;
    double bpm; /* quarters a minute, > 0 */
    double s;   /* seconds from the beginning to it */
};

struct score_marker {
    double at;
    const char *text; /* tame UTF-8, trimmed, not empty */
};

/* All in one arena. The first tempo stands at 0, unless there is none. */
struct score {
    const char *title;  /* "" */
    const char *passed; /* what is written and not played, a line each; "" nothing */
    struct score_measure *measures;
    struct score_tempo *tempos;
    struct score_marker *markers; /* in order, no two at one place */
    size_t n_measures, n_tempos, n_markers;
    double length;        /* quarters; the end of the last measure */
    double tempo_said_at; /* where the file's first tempo stands; what is before it is a guess */
    double tempo_assumed; /* quarters from the beginning that a file says no tempo for but its
                             format does: length where it says none at all, 0 where it always does */
};

/* Seconds from the beginning to a place, which may lie past the end: the last tempo holds. 0 when
 * the score has no tempo. */
double score_seconds(const struct score *s, double at);
/* Position of the measure that a place (0 .. length) lies in. */
size_t score_measure_at(const struct score *s, double at);
/* How long a measure of the meter is, in quarters. */
double meter_length(struct meter m);

/* What bytes are, by how they begin and not by the file's name. */
enum score_kind { SCORE_NONE, SCORE_MIDI, SCORE_XML, SCORE_ZIP };
enum score_kind score_kind(const char *bytes, size_t n);

/* Reads any of the kinds. False with ERR_INPUT: what is wrong, and where (a byte of a MIDI file, a
 * line and column of XML, a measure). Whatever the bytes are, time and memory stay within a fixed
 * multiple of what was given and of the limits below. */
bool score_read(struct arena *a, const struct table_text *file, struct score *out, struct err *e);

enum {
    SCORE_MEASURES = 10000, /* played, and written */
    SCORE_TEMPOS = 200000,
    SCORE_MARKERS = 10000,
    SCORE_BYTES = 128 << 20, /* of a file, and of what comes out of an archive */
};

#endif
