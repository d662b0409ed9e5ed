/* From marks to what a plan works on: one item for each fault of each section, its weight the sum of
 * its marks' severities, spread over its sets as they are. A repped mark counts less, a clean one
 * not at all, nor does one whose fault the staff must define first: nobody can rehearse that. */
#ifndef PLAN_GATHER_H
#define PLAN_GATHER_H

#include "plan/from_show.h"
#include "plan/report.h"

/* Part of its severity that a mark counts once it was rehearsed; our assumption, no source. */
#define PLAN_REPPED_COUNTS 0.5

/* A mark, as it stands for one section. */
struct plan_mark {
    int section, fault, set; /* positions; set may be -1 */
    int severity;
    size_t clip; /* position in the report's clips */
    int64_t at_us, mark;
    bool again; /* the mark was given for this section before: another performer of it */
    enum mark_state state;
    bool asks; /* it waits for a decision */
};

struct plan_gather;

/* The sets are those of plan_show_sets(): marks of collisions are noted in them. */
struct plan_gather *plan_gather_begin(const struct show *show, struct plan_set *sets,
                                      struct arena *a);
/* Marks of one section and fault come one after the other. */
void plan_gather_add(struct plan_gather *g, const struct plan_mark *m);
/* Fills items, targets, unplaced lines, what is to be decided and the open weight of the report, and
 * which sets of the groups were marked most; frees g. An item needs
 * the others when its section is no group of its own, or its fault is one of the whole form (struct
 * fault, together). False with e when nothing is open, or nothing of it knows its set. */
bool plan_gather_end(struct plan_gather *g, struct plan_groups *groups, struct plan_report *out,
                     struct err *e);
void plan_gather_drop(struct plan_gather *g); /* instead of the end; accepts NULL */

#endif
