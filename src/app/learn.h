/* What a rep mends in this show: the ticked blocks of its plans, and what was seen in its clips before
 * and after them (rank/learn.h). */
#ifndef APP_LEARN_H
#define APP_LEARN_H

#include "app/app.h"
#include "rank/learn.h"

struct learn_report {
    struct learned together, apart; /* reps of everybody; reps in sectionals */
    int mixed; /* lines that had reps of both kinds between two clips: of those neither tells */
};

/* say: things said before a rep, 1 and up, as in the plan's rules.
 *
 * A line is a fault of a section, as it stands in a plan, in the sets of the block that was ticked.
 * Set by set its marks and watched minutes (app/run_seen.h) on one date are set against those on the
 * next date on which the set was watched, when reps of the line were made between the two. Reps of
 * several blocks and days between them add up, their shares by their reps (that the mean share
 * stands for all of them changes f by less than the interval can tell).
 *
 * What is before and what is after: a clip of an earlier date than the rehearsal's is before it, of a
 * later one after it. A clip of the same date may be of the reps, of what came before them, or of the
 * run at the end: nothing in the show file says which. One that stood in the show when the plan was
 * made is before its reps (nobody is expected to plan a rehearsal behind it); any other of that date
 * tells nothing of the lines that were rehearsed on it.
 *
 * False with e when the show cannot be read. Works in mem. */
bool app_learn(struct app *a, int say, struct arena *mem, struct learn_report *out, struct err *e);

#endif
