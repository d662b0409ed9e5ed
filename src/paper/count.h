/* Writers for `boxcall count`. */
#ifndef PAPER_COUNT_H
#define PAPER_COUNT_H

#include "count/beats.h"
#include "count/map.h"
#include "count/taps.h"
#include "paper/paper.h"

struct count_place {
    bool timed; /* us is known */
    int64_t us;
    bool placed; /* spot is known */
    struct spot spot;
};

extern const struct column places_columns[], ties_columns[], taps_columns[], beats_columns[];

/* JSON: one object {ms, stretch, set, count, counts, bpm, ratio}; several places stand in its
 * "all". stretch counts from 1. */
void count_places(const struct show *show, const struct count_place *p, size_t n, enum format as,
                  struct buf *out);
/* "set 14, count 5 of 16"; "the end of set 14" for the count behind its last */
void tie_place_text(const struct set *set, double count, struct buf *out);
void count_ties(const struct show *show, const struct map *map, struct map_anchors ties,
                enum format as, struct buf *out);
void count_taps(const struct tap_fit *f, enum format as, struct buf *out);
/* JSON: {bpm:[{ms, bpm}], beats:[ms], confidence}. */
void count_beats(const struct beats *b, enum format as, struct buf *out);

#endif
