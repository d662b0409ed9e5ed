/* What the planner takes from a show: sets with their seconds and steps, the groups of people. Names
 * are copied: a plan stays when the show is read again. Memory is the arena's. */
#ifndef PLAN_FROM_SHOW_H
#define PLAN_FROM_SHOW_H

#include "count/tempo.h"
#include "plan/plan.h"
#include "show/show.h"

/* Every set at its place. Seconds come from the written tempo (`moves`: the show's sets), steps from
 * the dots through the field's grid; the band is taken to face the box, so moving away from it is
 * moving backward. A set is walked before it is run when two performers' paths to it come too near
 * (plan/paths.h). */
struct plan_set *plan_show_sets(const struct show *show, struct moves moves, struct arena *a);

/* A step of more than PLAN_STEP_MOST_IN. */
struct plan_leap {
    int performer, set; /* on the way to this set */
    double step_in;
};
/* Longest first; how many there are. */
size_t plan_show_leaps(const struct show *show, struct arena *a, const struct plan_leap **out);

/* "12:35.5": set 12 takes so long, whatever its tempo. False with e: no such set, no such time. */
bool plan_show_seconds(const char *text, struct moves moves, struct plan_set *sets, struct err *e);

/* An open mark in a set (< 0: none is known): one of a fault whose name or words speak of a
 * collision makes the set one that is walked first. */
void plan_show_collision(const struct show *show, int fault, int set, struct plan_set *sets,
                         struct arena *a);

struct plan_attend {
    const char *const *with; /* sections that attend; none: all */
    size_t n_with;
    bool together; /* no sectionals */
};
struct plan_groups {
    struct plan_group *at; /* the sections that have none below them, without the whole band; they
                            * are there when somebody of them is on the roster */
    size_t n;
    int *of_section; /* group of a section, PLAN_EVERYONE for those that are none */
};
bool plan_show_groups(const struct show *show, const struct plan_attend *who, struct arena *a,
                      struct plan_groups *out, struct err *e);
/* Does some group of a section, or of those below it, attend? */
bool plan_show_attends(const struct show *show, const struct plan_groups *groups, int section);

#endif
