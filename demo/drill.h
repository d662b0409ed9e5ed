/* What the invented band brings: its tables read, cross-checked and linked.
 *
 * Conventions. Set k is the move of its counts: it begins on the dots of the set before it and
 * ends on its own; the first set's dots are the starting form, held for its counts. Tables and
 * truth speak of counts as people do: count 1 begins with the set, count `counts` + 1 is the set's
 * end, when the form is reached. Inside, c = count - 1 is how many have passed, 0 .. counts. Left
 * feet come down as odd counts begin. A hold follows the last count, with c standing still.
 *
 * Places are grid steps of a high-school field: x from the 50, side 2 positive, 22.5 in each;
 * y from the front sideline, 28 to the front hash, 28 to the back hash, 28 to the back sideline
 * (160/84 ft each). */
#ifndef DEMO_DRILL_H
#define DEMO_DRILL_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"

struct point {
    double x, y;
};

struct section {
    const char *name, *parent, *key;
    int up; /* position of the parent, -1 for the root */
};

struct performer {
    const char *label, *name;
    int section;
};

struct set {
    const char *label, *name;
    int counts, measures;
    double tempo, tempo_end; /* bpm at c = 0 and c = counts, linear in counts */
    double hold_s;
};

/* Equipment moves: the section reaches the state on the count. */
enum cue_kind {
    CUE_HORNS_UP,
    CUE_HORNS_DOWN,
    CUE_FLAG_LOW,
    CUE_FLAG_UP,
    CUE_FLAG_RIGHT,
    CUE_FLAG_LEFT,
    CUE_KINDS
};

struct cue {
    int set, section;
    double c;
    enum cue_kind kind;
};

/* How an injected fault changes what a body does; see demo/stance.h for each law. */
enum effect {
    EFFECT_ARRIVE,
    EFFECT_START,
    EFFECT_SPREAD,
    EFFECT_BOW,
    EFFECT_DEPTH,
    EFFECT_ACROSS,
    EFFECT_TURN,
    EFFECT_LAG,
    EFFECT_BULGE,
    EFFECT_SHUFFLE,
    EFFECT_STEP,
    EFFECT_FEET,
    EFFECT_HORN_ANGLE,
    EFFECT_CUE_LATE,
    EFFECT_FLAG_ANGLE,
    EFFECT_DROP,
    EFFECT_LEAN
};

struct slip {
    int set;
    double c, until; /* when it can be seen, in counts of the set; may reach past its ends */
    int *who;        /* positions in performers, in the order along the form */
    size_t n_who;
    const char *fault;
    enum effect effect;
    double amount; /* signed as the effect wants it */
    double given;  /* as written in the table, in `unit` */
    const char *unit, *note;
};

struct drill {
    struct section *sections;
    struct performer *performers;
    struct set *sets;
    struct cue *cues;
    struct slip *slips;
    size_t n_sections, n_performers, n_sets, n_cues, n_slips;
    size_t dot_sets;    /* sets that dots.csv has, though fewer may be played */
    struct point *dots; /* [performer * dot_sets + set] */
};

/* Reads sections.csv, roster.csv, sets.csv, dots.csv and faults.csv of the folder, as staff would
 * bring them, and two tables of the generator's own:
 *   moves.csv     set,count,section,move: the section's equipment is there as that count begins
 *   injected.csv  set,count,until,performers,fault,amount,unit,note: what goes wrong, seen from one
 *                 count to the other (late equipment: from just before the spoiled move's count);
 *                 performers in the order along the form, by ';' */
bool drill_read(struct arena *a, const char *dir, struct drill *out, struct err *e);

/* Is the section `above` itself, or under it? */
bool drill_within(const struct drill *d, int section, int above);
const struct point *drill_dot(const struct drill *d, size_t performer, size_t set);

/* Keeps the slips that `choice` names: "all", "none", or a comma-separated list of fault names
 * and rows of injected.csv (1 = the first after the header). */
bool drill_choose(struct arena *a, struct drill *d, const char *choice, struct err *e);

/* Keeps the first n sets and what belongs to them. */
void drill_cut(struct drill *d, size_t n);

/* Dot-sheet words to grid steps. */
bool dot_across(const char *text, double *x);
bool dot_depth(const char *text, double *y);

#endif
