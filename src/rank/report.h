/* A fix list as a whole: for whom, over which clips, the own lines, the lines of the groups above,
 * and (when asked for) every moment. What writers and screens are given. */
#ifndef RANK_REPORT_H
#define RANK_REPORT_H

#include "rank/list.h"

struct report_clip {
    int64_t id;
    const char *label, *link, *path, *date;
    int run;
    bool here; /* its file is at `path` */
    double watched_min, length_min;
};

struct report_moment {
    int fault;
    bool praise;
    struct when at;
    int64_t mark;
    const char *uid;              /* of the mark, lower-case hex: the same on every laptop */
    const struct target *targets; /* all of the mark's, also those of other parts */
    size_t n_targets;
    int set;          /* -1 */
    double count;     /* with set >= 0 */
    const char *note; /* "" when there is none */
    enum mark_state state;
    bool asks;  /* it waits for the staff's decision */
    bool timed; /* its lateness was measured: counts, negative is early, and its half-width */
    double late, late_error;
    struct measure measure; /* what was measured there */
    bool on_field;          /* where it is on the field is known, in grid steps: */
    double x, y;
};

struct report_part {
    int section; /* whose marks these are */
    struct rank_list list;
    struct report_moment *moments; /* in time order; NULL unless asked for */
    size_t n_moments;
};

struct fix_report {
    const struct show *show;
    const char *title;
    int section;                     /* the list's section */
    int performer;                   /* >= 0: the list of one performer */
    const struct report_clip *clips; /* chosen ones, in time order */
    size_t n_clips;
    const int
        *run_of; /* the run of each clip, from 0: clips of one date and run number are of one */
    int n_runs;
    double watched_min, length_min; /* of the chosen clips; watched 0: no cover is stored */
    struct report_part own;
    struct report_part *with; /* the groups above, nearest first; only those with marks */
    size_t n_with;
};

/* What the staff must decide, and what it has. */
struct define_report {
    struct fix_report asked;   /* of marks that wait for a decision alone, with their moments */
    struct fix_report decided; /* of marks that a decision has answered; a line for every fault that
                                * was decided about, maybe without marks */
    const char *const *days;   /* of each fault: the date of its decision, "" without one */
    int only;                  /* this fault alone; -1: all */
};

/* Does the list rest on little? (under half of the clips' length, or under five minutes; common
 * practice, no source) */
bool report_rests_on_little(const struct fix_report *r);

/* "T3" or "trumpets"; of a report that is older than the show, whose performer or section may be
 * gone from it, it says so. */
const char *report_for(const struct fix_report *r);

#endif
