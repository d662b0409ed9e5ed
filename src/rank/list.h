/* The fix list: one line per fault for a section, ranked by frequency.
 *
 * Feed every (mark, target) row once, in any order that keeps a mark's rows together with its
 * `again` flag; memory grows with faults, performers, sets and clips, never with marks. */
#ifndef RANK_LIST_H
#define RANK_LIST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/buf.h"
#include "mark/mark.h"
#include "show/show.h"

/* The rule, as printed under a list in its usual order. */
#define RANK_RULE                                                                                  \
    "Order: marks not yet clean, then runs in which it was seen, then severity, then the latest."

/* What comes first; ties go on in the usual order. By rate is by frequency as long as every line
 * rests on the same watched minutes, which it does here. */
enum rank_by { RANK_FREQUENCY, RANK_RUNS, RANK_SEVERITY, RANK_RATE, RANK_RECENT, RANK_ORDERS };
bool rank_by_named(const char *name, enum rank_by *out);
const char *rank_by_name(enum rank_by by);
const char *rank_rule(enum rank_by by);

struct rank_row {
    int section, performer, fault, set; /* positions; performer and set may be -1 */
    bool praise;
    size_t clip; /* position among the chosen clips, in time order */
    int64_t at_us;
    int severity;
    enum mark_state state;
    enum cause cause; /* CAUSE_DEFINE: it still waits for the staff's decision */
    bool again;       /* the mark was fed already under another target: count the performer only */
};

struct when {
    size_t clip;
    int64_t at_us;
};

struct rank_who {
    int position; /* of a performer, or of a section for marks that name no performer */
    bool performer;
    int marks;
};

struct rank_item {
    int rank; /* 1.. */
    int fault;
    bool praise;
    int marks;  /* not yet clean */
    int clean;  /* marks that are clean */
    int repped; /* of `marks`, those that were repped */
    int runs;   /* chosen runs in which it was seen */
    int severity;
    enum cause cause; /* define as soon as one mark that is not clean says so */
    enum mark_state state;
    struct when first, worst, latest;
    /* Of the marks that are not yet clean; of all when all are. */
    const int *sets; /* in drill order */
    size_t n_sets;
    const struct rank_who *who; /* most marks first */
    size_t n_who;
    const int *per_clip;                   /* marks (clean ones too) in each chosen clip */
    bool back;                             /* was clean, and a later mark says it is not */
    struct when newest_clean, newest_open; /* with clean > 0 / marks > 0 */

    /* filled by rank_believe() */
    bool rated;
    double rate, rate_low, rate_high; /* rank_seen() a watched minute, exact 95 % (Garwood) */
    size_t bracket, n_brackets;       /* the first of those that join this line, and how many */

    /* filled by the caller when somebody set the state of this line; "" otherwise */
    const char *state_by, *state_at; /* who, and when (RFC 3339, local time) */

    /* filled by the caller where something was measured */
    int timed;               /* marks whose lateness was measured */
    double late, late_error; /* of the one that is furthest off, counts; negative is early */
};

struct rank_list {
    enum rank_by by;
    size_t share_items;      /* the first so many faults make up RANK_SHARE of all marks */
    struct rank_item *items; /* faults, ranked */
    size_t n_items;
    struct rank_item *keep; /* praise, ranked the same way */
    size_t n_keep;
};

struct rank_fold; /* running totals */

/* The chosen clips. Several may be of one run, taken from two places. */
struct rank_clips {
    size_t n;
    const int *run; /* number of each clip's run, from 0, in time order; NULL: each is one */
};
struct rank_fold *rank_begin(const struct show *show, struct rank_clips clips);
void rank_feed(struct rank_fold *f, const struct rank_row *row);
/* Ranks; the list lives in the arena. Frees the fold. */
struct rank_list rank_end(struct rank_fold *f, enum rank_by by, struct arena *a);

/* Its marks, those that are clean now too: how often it was seen. */
int rank_seen(const struct rank_item *i);
/* The usual order of two lines (a total order: at the end the fault's position decides). */
int rank_order(const struct rank_item *a, const struct rank_item *b);

#define RANK_SHARE 0.8
/* Gives lines their rate over the watched minutes (0: none is given) and, in order of frequency,
 * joins those whose order cannot be told apart (rank/stat_brackets.h, level 0.05). */
bool rank_believe(struct rank_list *l, double watched_min, struct arena *a, struct err *e);
/* The names of the brackets that join a line, "" without one: two lines cannot be told apart exactly
 * when a name stands in both. "a" .. "z", then "a1" and so on: no name is given twice in a list. */
void rank_joined_text(const struct rank_item *i, struct buf *out);

#endif
