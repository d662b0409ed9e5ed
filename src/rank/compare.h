/* Did it get better? One fault of one section in two choices of clips: how many marks in how many
 * watched minutes, and whether the difference is more than noise. */
#ifndef RANK_COMPARE_H
#define RANK_COMPARE_H

#include "rank/list.h"
#include "rank/report.h"
#include "rank/stat.h"

#define COMPARE_LEVEL 0.05

enum verdict {
    VERDICT_FIXED, /* was there, is not there, and enough was watched to say so */
    VERDICT_FEWER, /* fewer a minute, beyond noise */
    VERDICT_SAME,  /* no difference that could not be noise */
    VERDICT_MORE,  /* more a minute, beyond noise */
    VERDICT_NEW,   /* was not there, is there now, beyond noise */
    VERDICT_FIRST, /* was not there, is there now; not shown to be more than chance */
    VERDICT_UNSEEN, /* was there, was not seen now, but too few marks or too little watched to call it fixed */
    VERDICT_UNSURE, /* the watched minutes are not known: no rate, no verdict */
};
const char *verdict_name(enum verdict v);

struct change {
    int fault;
    int from_marks, to_marks;    /* clean ones too */
    bool tested;                 /* both choices have watched minutes */
    struct stat_two_rates rates; /* to over from; conditional test of Przyborowski & Wilenski */
    double p; /* of that test, adjusted over the whole comparison (Benjamini & Hochberg 1995) */
    enum verdict verdict;
};

/* Exposures in watched minutes; 0: not known. p is the test's own: one line, judged alone. */
struct change rank_change(int fault, int from_marks, double from_min, int to_marks, double to_min);
/* Every fault that is in one of the lists, by show position; lives in the arena. */
struct rank_watched {
    const struct rank_list *list;
    double minutes; /* watched; 0: not known */
};
struct change *rank_compare(struct rank_watched from, struct rank_watched to, size_t n_faults,
                            struct arena *a, size_t *n);

/* --- a whole comparison --- */

struct compared {
    int section, performer; /* performer >= 0: theirs alone */
    struct change *changes;
    size_t n;
};

struct comparison_side {
    const struct report_clip *clips;
    size_t n_clips;
    double watched_min, length_min;
};

struct comparison {
    const struct show *show;
    const char *title;
    const char *for_whom; /* "" for every section */
    struct comparison_side from, to;
    struct compared *parts;
    size_t n_parts;
};

/* Judges all lines of a comparison together: of the verdicts fixed, fewer, more and new, at most one
 * in twenty is wrong on average; where nothing changed at all, at most one comparison in twenty has
 * any (marks that come singly, as Poisson's do). */
void rank_settle(struct comparison *c, struct arena *a);

#endif
