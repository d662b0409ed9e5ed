/* A moment as typed: a time in the clip, or a set and count in the drill.
 *
 * "14.5" is both: 14 and a half seconds, or set 14 count 5. Two readers, and the caller asks
 * first the one that fits the place (a line that goes to a set asks moment_parse_drill first). */
#ifndef COUNT_MOMENT_H
#define COUNT_MOMENT_H

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"
#include "count/map.h"
#include "count/timecode.h"

enum moment_kind {
    MOMENT_TIME,         /* us: clip time */
    MOMENT_PLACE,        /* set and count */
    MOMENT_SHIFT_TIME,   /* us: signed, from where the playhead is */
    MOMENT_SHIFT_COUNTS, /* count: signed number of counts from where the playhead is */
};

struct moment {
    enum moment_kind kind;
    int64_t us;
    int set;      /* index into the sets */
    double count; /* 1-based */
};

/* Reads a time: all that time_parse() reads ("358.2", "5:58.2", "0:05:58.200", "12.5s"), a shift
 * ("+2.5 s"), and, when fps is known ({0, 0}: it is not), a frame number ("1234f") and SMPTE time
 * code ("00:01:00;02"; only broadcast rates). False: *out is untouched, e says what to write. */
bool moment_parse_time(const char *s, struct rate fps, struct moment *out, struct err *e);

/* Reads a place in the drill: "14" or "set 14" (its count 1), "14.5" and "set 14 count 5" (set 14
 * count 5), "14A.3", "14.5.5" (count 5 and a half); or a shift: "+16 counts", "-4" (counts), "+2.5
 * s", "-0:04". A label that itself holds a point is tried first as it stands. False: *out is
 * untouched, e offers a near label, or says how many counts the set has. */
bool moment_parse_drill(const char *s, struct moves sets, struct moment *out, struct err *e);

/* The clip time of a moment, seen from now_us. Of several times a place comes by, the one in the
 * stretch now_us is in, else the nearest. False when it is not placed, or before the clip. */
bool moment_resolve(const struct moment *m, const struct map *map, int64_t now_us, int64_t *us,
                    struct err *e);

#endif
