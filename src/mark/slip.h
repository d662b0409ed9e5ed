/* Dots that march and slip, to measure how long a person takes to see, to name and to choose.
 *
 * Up to three ranks of six stand for sections of the open show and take a step on every count. At a
 * count that nobody can foresee three neighbours of one rank slip, in a way that stands for a fault
 * of the show, and go on so until they are named.
 *
 * Why not a flash: that is answered in 231 ms on average (Woods et al. 2015, Front. Hum. Neurosci.
 * 9:131), but a choice takes longer, by the logarithm of how many there are (Hick 1952, from
 * memory), and what comes before a mark's first key is a search and a choice. */
#ifndef MARK_SLIP_H
#define MARK_SLIP_H

#include <stdint.h>

#include "show/show.h"

enum slip { SLIP_FEET, SLIP_CLOSE, SLIP_BACK, SLIP_LATE, SLIP_HORNS, SLIPS };

enum {
    SLIP_GROUPS = 3,
    SLIP_KINDS = 4, /* at once */
    SLIP_DOTS = 6,  /* in a rank */
    SLIP_TOGETHER = 3,
    SLIP_COUNT_US = 500000, /* 120 bpm */
    SLIP_ROWS = 2,          /* where a dot may be: in the line, or one row out of it */
    SLIP_COLS = 42,
};

struct slip_kind {
    enum slip slip;
    int fault; /* that it stands for */
};

/* Sections and faults are positions in the show. */
struct slip_field {
    int sections[SLIP_GROUPS];
    struct slip_kind kinds[SLIP_KINDS];
    size_t n_sections, n_kinds;
};

/* The sections without sections below them that have most performers, in the order of the show; the
 * faults whose names or words say what can be shown, and where there are fewer than three of those
 * the next of their family, or else the first. All have keys. False when there is no section or no
 * fault that has one. */
bool slip_field(const struct show *show, struct slip_field *out, struct err *e);

/* What is seen: "three on the other foot" */
const char *slip_words(enum slip s);

/* Positions within the field: whose slip, which, from which dot on, from which count (0 is the
 * first step) on. */
struct slip_try {
    int group, kind, first;
    int64_t count;
};

/* At the earliest three counts from `count`, which is now; from there on each count is as likely as
 * the last, one in four, so that waiting teaches nothing. `chance` is the state of a generator,
 * which may begin with any number (splitmix64; Steele, Lea & Flood 2014). */
struct slip_try slip_draw(const struct slip_field *f, int64_t count, uint64_t *chance);

struct slip_dot {
    int row, col; /* of the rank's own: 0 .. SLIP_ROWS - 1, 0 .. SLIP_COLS - 1 */
    bool right_foot, horn_low;
};
/* Where a dot (from 0) of a group stands so long after the march began. slipping: NULL while nobody
 * slips, else also when it has not begun. */
struct slip_dot slip_dot(const struct slip_field *f, const struct slip_try *slipping, int group,
                         int dot, int64_t at_us);

uint64_t slip_chance(uint64_t *chance);

#endif
