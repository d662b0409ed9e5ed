/* What the builder of a map leaves for its readers. */
#ifndef COUNT_MAP_INNER_H
#define COUNT_MAP_INNER_H

#include "count/map.h"

/* A run of time under one law: part of the counts of a set, or of its hold. One cache line. */
struct seg {
    double from_us, to_us; /* closed; the next segment wins at a shared instant */
    double x0, x1;         /* counts (1-based), or seconds of the hold */
    double bpm, slope;     /* written tempo at x0 and its change per count */
    double ratio;          /* written / real seconds */
    int32_t set;
    uint16_t stretch;
    bool hold, tied;
};

struct map {
    const struct move *sets;
    size_t n_sets;
    double *before; /* counts of the show before set i; n_sets + 1 numbers */
    struct seg *segs;
    double *starts; /* from_us of every segment, for the search */
    size_t n_segs;
    struct map_stretch *stretches;
    size_t *first_seg; /* of stretch i; n_stretches + 1 numbers */
    size_t n_stretches;
    struct map_leg *legs;
    size_t n_legs;
    struct map_span *spans;
    size_t n_spans;
    struct map_anchor *anchors;
    size_t n_anchors;
};

/* Are the anchors in order, inside the clip and at counts that exist? */
bool anchors_check(struct moves sets, struct map_anchors ties, int64_t length_us, struct err *e);

/* Real seconds from a segment's beginning to x, and the x reached after them. */
double seg_seconds(const struct seg *s, double x);
double seg_x(const struct seg *s, double seconds);

#endif
