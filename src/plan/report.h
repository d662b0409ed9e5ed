/* A rep plan with the names and moments that writers and screens print. */
#ifndef PLAN_REPORT_H
#define PLAN_REPORT_H

#include "plan/plan.h"
#include "rank/report.h"

/* One line of the fix lists as the plan took it; at the same position as plan_input.items. */
struct plan_target {
    int section, fault;
    int marks; /* not yet clean, nor waiting for a decision */
    const struct report_moment *moments;
    size_t n_moments;
};

struct plan_heat {
    bool indexed;   /* temperature and humidity were given */
    double index_f; /* NaN: beyond the chart */
    const char *category;
    bool measured; /* a wet-bulb globe temperature was given */
    double wbgt_f;
    const char *reading; /* wbgt_f as it is printed (policy_reading()) */
    const char *policy;  /* the row's guidance and source, "" without one */
    bool closed;         /* the policy has no outdoor activity at this reading */
};

struct plan_report {
    const struct show *show;
    const char *title, *date;
    const struct report_clip *clips;
    size_t n_clips;
    struct plan_input in;
    struct plan plan;             /* no blocks when heat.closed and not indoors */
    struct plan_target *targets;  /* [in.n_items] */
    struct plan_target *unplaced; /* lines none of whose moments is tied to a set */
    size_t n_unplaced;
    struct plan_target
        *decide; /* lines of which marks wait for the staff's decision: those marks */
    size_t n_decide;
    /* Severities of all open marks, whoever is there, with a set or not; of repped ones
     * PLAN_REPPED_COUNTS, without those that wait for a decision. */
    double open_weight;
    struct plan_heat heat;
    const char *heat_words; /* paragraph for a person, "" without heat figures */
    const char *learned;    /* what a rep mended so far in this show, in sentences; "" not asked */
};

/* Is the moment in one of the chunk's sets? How many of a line's are? */
bool plan_in_work(const struct plan_work *w, const struct report_moment *m);
int plan_marks_in(const struct plan_work *w, const struct plan_target *t);

/* "ensemble" for everyone, or the group's name. */
const char *plan_who(const struct plan_report *r, int group);

/* Does the block's name say what comes behind its list, rather than what it is? It does so from
 * plan_then_s() on. */
bool plan_then(const struct plan_block *b);
int plan_then_s(const struct plan_block *b);

/* A plan stays on a screen while the show is read again, so its names and clips are its own. The
 * copy has what a plan speaks of: sections, faults and sets, at the same positions. */
const struct show *plan_report_show(const struct show *show, struct arena *a);
const struct report_clip *plan_report_clips(const struct report_clip *clips, size_t n,
                                            struct arena *a);
/* Do positions of the report (wishes of its plan, too) still mean the same in the show as it is
 * loaded now: every section, fault and set of the same name at the same place? */
bool plan_report_holds(const struct plan_report *r, const struct show *show);

#endif
