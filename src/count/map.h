/* The tempo map of one clip: clip time <-> set and count.
 *
 * A rehearsal clip is not one run: the band steps off from set 12, stops, goes back, goes again.
 * So a clip carries STRETCHES, each a passage played without a stop; time between stretches
 * belongs to no set. Ties (anchors) say 'at this time, this set, this count'.
 *
 * Which ties share a stretch. A tie begins a new stretch when
 *   - it says so (ANCHOR_BREAK, ANCHOR_FROM), or the tie before it says ANCHOR_HALT;
 *   - its place is not later in the drill than the tie before it;
 *   - the written time between the two is more than restart_ratio times longer or shorter than the
 *     real time and they differ by more than restart_slack_s (nobody plays a passage at half its
 *     tempo; somebody did stop). ANCHOR_JOIN overrides this rule, not the one before.
 *
 * How far a stretch reaches.
 *   - Before its first tie: at the written tempo back to count 1 of the tied set, or reach_back
 *     sets further; nowhere when that tie says ANCHOR_FROM. Never past the last tie of the stretch
 *     before it, nor past the clip's beginning.
 *   - Between ties: the written time is stretched evenly so that both are met. ratio = written
 *     seconds / real seconds: 1 as written, 1.05 five per cent faster. Beyond off_tempo it is
 *     flagged.
 *   - After its last tie: at the written tempo until the next stretch begins, the show ends or the
 *     clip ends; nowhere when that tie says ANCHOR_HALT.
 *
 * Sets without a tempo are never given one. When all counts of unknown length between two ties
 * belong to one set, they take what time the known ones leave (ratio 1, steady); otherwise, and
 * outside ties, they are not placed, nor is what lies behind them as seen from the nearest tie.
 *
 * A hold has no counts: there count stays at counts + 1 and hold_s runs, so that time -> place ->
 * time is exact (1e-9 s) everywhere. At an instant where one set ends and the next begins, the
 * later one holds. */
#ifndef COUNT_MAP_H
#define COUNT_MAP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/err.h"
#include "count/tempo.h"

enum {
    ANCHOR_BREAK = 1, /* begins a new stretch */
    ANCHOR_JOIN = 2,  /* belongs to the running stretch, however far off the written tempo */
    ANCHOR_FROM = 4,  /* the band steps off exactly here: a new stretch, and nothing before it */
    ANCHOR_HALT = 8,  /* the band stops exactly here: nothing after it */
};

struct map_anchor {
    int64_t us;       /* clip time */
    int set;          /* index into the sets */
    double count;     /* 1 .. counts + 1 (where the hold begins, or the next set) */
    unsigned flags;   /* ANCHOR_... */
    int64_t error_us; /* how far off us may be, 95 %; 0: not known */
};

/* Zero takes what is said in brackets. */
struct map_options {
    int64_t length_us;      /* of the clip (without end) */
    double off_tempo;       /* |ratio - 1| beyond which a leg is flagged (0.08) */
    double restart_ratio;   /* (1.5) */
    double restart_slack_s; /* (2) */
    int reach_back;         /* whole sets to run back before the first tied one (0) */
};

/* Ties in time order. */
struct map_anchors {
    const struct map_anchor *at;
    size_t n;
};

struct map;

/* Copies what it needs into the arena; the labels must outlive the map.
 * No anchors give a map in which nothing is placed. NULL with e set (ERR_INPUT) when a set is
 * wrong, or an anchor is out of order, at the time of another, outside the clip, at a set or count
 * that is not there, or at odds with its own flags; e names the anchor by its number from 1. */
struct map *map_build(struct arena *a, struct moves sets, struct map_anchors anchors,
                      const struct map_options *options, struct err *e);

struct spot {
    int stretch, set;
    double count;  /* 1-based; counts + 1 in a hold */
    double hold_s; /* written seconds into the hold */
    double bpm;    /* as played: written tempo times ratio; 0 in a hold or when not known */
    double ratio;  /* written / real seconds */
    bool in_hold;
    bool tied; /* between two ties, and not run on from one at the written tempo */
};

/* What is at a time; false when no stretch covers it. Logarithmic in what is placed, and at most
 * one exponential: cheap enough to ask for every frame and every mark. */
bool map_at(const struct map *m, int64_t us, struct spot *out);
/* The same for a time between whole microseconds. */
bool map_at_exact(const struct map *m, double us, struct spot *out);

struct map_time {
    int stretch;
    int64_t us;      /* the first whole microsecond at which the place is reached */
    double exact_us; /* unrounded */
};

/* When a place is reached, in one stretch (or -1: in all), in time order. Stores up to max times,
 * returns how many there are. */
size_t map_when(const struct map *m, int stretch, const struct place *p, struct map_time *out,
                size_t max);

/* One set in one stretch, as far as it is placed; in time order. from_us == to_us: only that
 * instant is known. */
struct map_span {
    int stretch, set;
    int64_t from_us, to_us; /* whole microseconds inside the set */
    double from_count, to_count;
    double ratio;   /* mean over the span */
    bool off_tempo; /* some of it lies in a flagged leg */
};
const struct map_span *map_spans(const struct map *m, size_t *n);

/* What the map was made of. */
struct map_anchors map_ties(const struct map *m);
struct moves map_moves(const struct map *m);

/* What lies between two neighbouring ties of one stretch. */
enum map_leg_kind {
    LEG_FITTED, /* stretched evenly by ratio */
    LEG_SOLVED, /* the tempo of one set followed from the ties */
    LEG_OPEN,   /* more than one set without tempo: what lies between is not placed */
    LEG_TIGHT,  /* the known tempi alone take longer than there is time: nothing placed between */
};
struct map_leg {
    int stretch;
    int from, to; /* indices of the anchors */
    enum map_leg_kind kind;
    double ratio; /* 1 unless fitted */
    double bpm;   /* solved: the tempo found, else 0 */
    bool off_tempo;
};
const struct map_leg *map_legs(const struct map *m, size_t *n);

struct map_stretch {
    int first, last;        /* indices of its anchors */
    int64_t from_us, to_us; /* as far as it is placed */
};
const struct map_stretch *map_stretches(const struct map *m, size_t *n);

enum map_side { MAP_BEFORE, MAP_NEAREST, MAP_AFTER };
/* The beginning of a set (of a span) strictly before, nearest to, or strictly after us. */
bool map_boundary(const struct map *m, int64_t us, enum map_side side, struct map_span *out);

/* How far off the map may be at us, in us (95 %), by the errors of its ties: between two ties both
 * take part as they are near (errors of their own, so squares add up); outside them the tempo may
 * also be off by MAP_TEMPO_ERROR of the time since the tie. 0 where no tie's error is known. */
#define MAP_TEMPO_ERROR 0.01 /* our assumption, no source */
double map_error_us(const struct map *m, int stretch, double us);

/* Counts of the show that have passed at a spot, from set 1 count 1; differences of it are counts
 * between two spots, whatever sets they are in. */
double map_elapsed(const struct map *m, const struct spot *s);
/* The time `counts` counts on (or back) from us in the same stretch; holds take no counts. False
 * when us is in no stretch or the stretch does not reach that far. */
bool map_shift(const struct map *m, int64_t us, double counts, int64_t *out);
/* The n-th beginning of a count after us (n > 0) or before it (n < 0), in the same stretch. A
 * frame seldom falls on the beginning of a count: us within slack_us of one (half a frame) stands
 * for it, so that stepping from frame to frame never sticks. */
bool map_step(const struct map *m, int64_t us, int n, int64_t slack_us, int64_t *out);

#endif
