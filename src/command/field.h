/* The field on the desk: where everybody should be now, who is chosen, and where the clip's marks
 * stand on it. */
#ifndef COMMAND_FIELD_H
#define COMMAND_FIELD_H

#include "command/desk.h"
#include "field/ghost.h"
#include "mark/mark.h"

/* --- where everybody should be ---------------------------------------------------------------- */

const struct ghosts *field_ghosts(const struct desk *d);

/* Where the drill is: as the clip runs, else as the person leafs through it. */
enum field_time {
    FIELD_RUNNING, /* the clip says where */
    FIELD_OUTSIDE, /* it is tied, but nothing of the drill is played here: the nearest set before */
    FIELD_LEAFING, /* it is not tied, or none is open */
};
/* False while the show has no sets. */
bool field_when(const struct desk *d, struct set_count *when, enum field_time *how);
/* The set that the move leads to; behind its last count, the next one. */
int field_next_set(const struct desk *d, struct set_count when);
/* Where a performer should be; who has no dot to come from stands on the one to go to. */
bool field_place(const struct desk *d, int performer, struct set_count when, struct dot_place *out);

/* To the beginning of a set: of the clip, else of the drill. */
void field_go_to_set(struct desk *d, int set);

/* --- who is chosen ---------------------------------------------------------------------------- */

/* A performer, or all of a section; false: nobody. */
bool field_chosen(const struct desk *d, struct target *out);
/* performer -1: nobody */
void field_choose(struct desk *d, int performer);
/* To the next performer who has a dot (the one before), in the roster's order. */
void field_next_performer(struct desk *d, long by);
/* To the next section with dots of its own. */
void field_next_section(struct desk *d, int by);

/* --- what is shown ---------------------------------------------------------------------------- */

/* How near: all of the field, where the show is drilled, where the move is. */
enum field_reach { FIELD_ALL, FIELD_SHOW, FIELD_MOVE };
/* Of the marks: those of the move where they stand, all of the clip by place, or by set. */
enum field_marking { MARKS_STANDING, MARKS_BY_PLACE, MARKS_BY_SET };

enum field_reach field_reach(const struct desk *d);
enum field_marking field_marking(const struct desk *d);

/* --- the clip's marks on it ------------------------------------------------------------------- */

/* Where a mark stands for the n-th of its targets: on the performer's dot at its set and count.
 * False for a section, and without a set. */
bool field_mark_place(const struct ghosts *g, const struct mark *m, size_t target,
                      struct dot_place *out);

struct field_mark {
    int64_t at_us;
    int set; /* position */
    struct dot_place at;
    bool praise;
    int severity;
};

/* Marks of a part of the ground, so many steps square; where lines cross is the middle of one. */
enum {
    PATCH_STEPS = 4,
    PATCHES_ACROSS = 60,
    PATCHES_DEEP = 48,
    PATCH_LEFT = -122,
    PATCH_FRONT = -50
};

enum { FIELD_MARKS_MOST = 20000 }; /* a whole mark is kept of no more; all are counted */

struct field_marks {
    struct field_mark *at; /* those that stand somewhere, in time order */
    size_t n, cap;
    size_t all, standing; /* marks of the clip; those of them that stand on the field */
    int *by_set;          /* marks, by position of the set */
    int patch[PATCHES_DEEP][PATCHES_ACROSS];
};
/* As far as they are read; read again, slice by slice, while the field is shown and they change. */
const struct field_marks *field_marks(const struct desk *d);
bool field_marks_reading(const struct desk *d);
/* Of the patch around a place; 0 beyond all. */
int field_patch(const struct field_marks *m, struct dot_place at);

#endif
