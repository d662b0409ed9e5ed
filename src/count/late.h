/* Early and late: when something was seen against when it was due, in counts.
 *
 * counts = (seen - due) * bpm / 60: positive is late. A picture only shows that something happened
 * between two frames, so every figure carries the frame interval; through a map it also carries what
 * the ties (and the taps they came from) may be off, and what a hand on a playing clip may be. These
 * do not know of one another, so their squares add up. */
#ifndef COUNT_LATE_H
#define COUNT_LATE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/err.h"
#include "count/map.h"

struct late {
    double counts;                 /* signed: + late, - early */
    double ms;                     /* the same in time */
    double error_counts, error_ms; /* half-width: 95 %, or one frame where that is all */
};

/* At a steady tempo. frame_us 0: no frame error is known. */
struct late late_steady(int64_t due_us, int64_t seen_us, double bpm, int64_t frame_us);

/* When something was seen, and how long a frame is there. */
struct sight {
    int64_t us, frame_us;
    int64_t
        hand_us; /* 95 % of a hand that pressed a key while the clip played; 0: it stood still */
};

/* Of keys pressed while a clip plays, at normal speed, reaction lead taken off: what is left of a
 * hand's spread. Our assumption, no source. */
enum { LATE_HAND_US = 100000 };

/* Through the map, so that a ramp or a change of tempo between the two is counted as it is. The
 * place is due in the stretch it was seen in or nearest to. Where one of the two lies in a hold
 * or outside the stretch, the tempo at the due place is used. False when the place is nowhere. */
bool late_in_map(const struct map *m, const struct place *due, struct sight seen, struct late *out,
                 struct err *e);

/* "0.4 counts late (+-0.1)", "0.2 counts early (+-0.1)", "on time (+-0.1)"; to a tenth. */
void late_format(const struct late *l, char out[48]);

/* One thing seen to pass along a form: when each performer or section did it. */
struct seen {
    const char *who;
    int64_t us;
};

struct ripple {
    size_t first, last;              /* indices of the earliest and the latest */
    double spread_counts, spread_ms; /* between them */
    double error_counts;             /* one frame */
    int64_t against_us;              /* what each was compared with */
    size_t n_off;                    /* how many are off by more than the tolerance */
    struct late *each;               /* of every one, in the order given */
    bool *off;
};

struct ripple_seen {
    const struct seen *seen; /* two or more */
    size_t n;
    int64_t due_us; /* < 0: the median of all */
    double bpm;     /* > 0 */
    int64_t frame_us;
    double tolerance_counts; /* 0: a tenth */
};

/* Compares each with when it was due. False when there are too few, or no tempo. */
bool ripple_measure(struct arena *a, const struct ripple_seen *in, struct ripple *out,
                    struct err *e);

#endif
