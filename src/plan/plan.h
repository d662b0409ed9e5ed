/* The rep plan: what to rehearse, how often and when, in the minutes there are.
 *
 * The model
 *   - The day goes by whole minutes. Fixed items and the breaks of a heat policy stand at fixed
 *     times; without a policy a break comes right before the block that would make the work since
 *     the last rest longer than the rhythm allows (plan/track.h). What is planned lies between them
 *     and is not cut by them.
 *   - A chunk is a run of consecutive sets. One rep of it takes its playing time plus the reset,
 *     rounded up to 5 s. A chunk with a set that must be walked before it is run (somebody comes too
 *     near somebody) begins with a rep at half tempo: the playing time of all its sets twice. It
 *     mends like another rep. The same in a sectional, where the two may not even meet.
 *   - A block for everyone is one chunk: the set-up (the talk and the walk there), then its reps,
 *     rounded up to minutes and at least `least` of them.
 *   - An item of the fix list is spread over its sets (evenly, or by set_shares). Before a rep at
 *     most `say` things are said, and a rep mends only what was said: of n items in a chunk each has
 *     its turn in say of n reps, so that a rep mends q = p min(1, say / n) of what is left of it.
 *     The r-th rep is worth w q (1-q)^(r-1), R reps are worth w (1 - (1-q)^R). That law, exponential
 *     and not a power, fits practice best: Heathcote, Brown & Mewhort, 'The power law repealed',
 *     Psychonomic Bulletin & Review 7(2), 2000, 185-207. The p is our assumption.
 *   - A minute has a price, `worth` (severities a minute). Reps of a chunk stop where the next one
 *     mends less than its time would cost; a chunk that all in all mends less is not made. What lies
 *     behind the last block is worth that price and goes to a run of the show.
 *   - Where a move is hard on the body (caution.h says which), no more reps at tempo stand in a row
 *     than the caution about it allows, over neighbouring chunks too, however much they would mend;
 *     a break, a fixed item or a chunk that is not hard lies between rows. Only what a person keeps
 *     can go beyond, and the caution says so.
 *   - The sets are cut into chunks without overlap; a set is in one chunk or in none. So every part
 *     takes its reps from one chunk only, and the gains of chunks add up.
 *   - Blocks are played in show order. PLAN_WORST_FIRST puts the same blocks in another order, the
 *     one with the most open first, as far as breaks and fixed items leave them room; a person may
 *     move one.
 *   - There may be one sectional period before them: all sections at the same time, from the same
 *     minute to the same minute, cut by nothing; in its last gather_s they come back. Inside it each
 *     section has chunks of its own in show order, each with its set-up, at 5 s resolution. An item
 *     that does not need the others is then worked there and only there, and what is mended there
 *     counts apart_worth of what is mended with everyone.
 *   - The plan is the one with the most gain less the price of the minutes until its last block is
 *     over. Under these rules that maximum is exact. A longer rehearsal never gains less, unless its
 *     minutes move what stands fixed: a heat policy's breaks, an item at the end.
 *
 * By hand: sets 1, 2, 3 of 20 s each, reset 20 s, no set-up, p = 0.5, weights 6, 4, 8, three minutes,
 * blocks from one minute on, up to three things said, minutes without a price.
 *     one by one, 40 s a rep: in a minute one rep, in two three: 3 once and 1 thrice = 4 + 5.25 = 9.25
 *     3 thrice and 1 once: 7 + 3                                                = 10.0
 *     2-3, 60 s a rep: twice (2 min), and 1 once (1 min): 12 x 0.75 + 6 x 0.5   = 12.0
 *     1-2 once (1 min) and 3 thrice: 10 x 0.5 + 8 x 0.875                       = 12.0
 *     1-3 joined, 80 s a rep, twice (160 s, 3 min): 18 x 0.75                   = 13.5  <- the plan
 * Joining pays because three sets share one reset. With two things said the joined chunk has
 * q = 1/3: 18 x 5/9 = 10.0, and the two plans of 12 are the best.
 *
 * Times are seconds from the start of the rehearsal. Text that comes in must outlive the plan; all
 * memory that goes out is the arena's. */
#ifndef PLAN_PLAN_H
#define PLAN_PLAN_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"
#include "plan/heat.h"

enum {
    PLAN_EVERYONE = -1,
    PLAN_STEP_S = 5,    /* what reps are rounded up to */
    PLAN_MINUTE_S = 60, /* what blocks are */
    PLAN_MINUTES_MOST = 720,
    PLAN_SETS_MOST = 1000,
    PLAN_REPS_MOST = 100,
    PLAN_SAY_MOST = 12,
    PLAN_LEAST_MOST = 60,
    /* A move that nobody can step, so one of its two dots is wrong. The most there is: three steps
     * to five yards (common practice, no source). */
    PLAN_STEP_MOST_IN = 60,
};

/* --- what comes in -------------------------------------------------------------------------- */

enum plan_order { PLAN_SHOW_ORDER, PLAN_WORST_FIRST };

struct plan_rules {
    int minutes;   /* 1 to 720 */
    int start_min; /* minutes after midnight; a plan may run into the next day */
    int least;     /* minutes of a block and of the sectional period at least, 1 to 60 */
    bool
        least_firm; /* else it gives way where no stretch between fixed items and rest is so long */
    int reset_s;    /* from the last count back to the first dot, every rep */
    int apart_reset_s;  /* the same in a sectional */
    int setup_s;        /* once per chunk: get there, say what is wanted */
    int gather_s;       /* once: from the sectionals back to the full ensemble */
    int chunk_sets;     /* most sets in a chunk, 1 to 12 */
    int most_reps;      /* most reps of a chunk, 1 to 100 */
    int say;            /* most things said before a rep, 1 to 12 */
    double learn;       /* p of items that have none of their own, 0 < p <= 1 */
    double apart_learn; /* the same in a sectional, where somebody watches them alone */
    bool learn_seen, apart_learn_seen; /* they are what the show's own rehearsals say */
    double apart_worth;                /* of what is mended in a sectional, 0 to 1 */
    double worth;                      /* severities that a minute must mend, 0 to 100 */
    enum plan_order order;
    bool no_run; /* what is left over stays empty */
    struct heat_breaks breaks;
};

/* 60 min from 18:00, blocks from 5 min on, reset 35 s (25 s apart), set-up 60 s, gather 2 min,
 * 4 sets, 8 reps, 2 things said, p 0.3 (0.4 apart), apart_worth 1, a tenth of a small mark a
 * minute, show order, a run, default breaks. Common practice or our own assumption, no source; all
 * to be set by the user. */
struct plan_rules plan_rules_default(void);

struct plan_set {
    const char *label;
    int counts;
    double play_s;           /* from the tempo map; NaN or < 0: not known */
    double bpm_from, bpm_to; /* 0 = not known */
    double step_in;          /* the largest step in the move, inches; 0 = not known */
    bool backward;           /* somebody moves backward in it */
    bool opens;              /* no chunk runs from the set before into this one */
    const char *walk; /* why it is walked before it is run: who comes near whom; NULL or "" not */
};

/* A body of people who can be somewhere together: a section, the battery ... */
struct plan_group {
    const char *name;
    bool attends;
    bool apart; /* may work by itself while other such groups do the same */
    /* What it does in a sectional period in which it has nothing to mend: */
    bool there;             /* people or marks of it are known; only then it is named */
    int up;                 /* groups of the same parent belong together; < 0: none */
    const int *least_clean; /* sets with marks of it, whatever became of them; most first */
    size_t n_least_clean;
};

struct plan_item {
    const char *name;         /* as on the fix list: "trumpets: late to form" */
    int group;                /* whose fault it is; PLAN_EVERYONE for more than one group's */
    bool nobody;              /* of PLAN_EVERYONE: no group that it is meant for attends */
    double weight;            /* marks x severity ...; 0 = not open */
    const int *sets;          /* positions in sets, at least one */
    const double *set_shares; /* relative weight of each set; NULL = even */
    size_t n_sets;
    bool needs_all; /* the fix needs the other sections there */
    double learn;   /* p, also apart; 0 = the rules' */
};

enum plan_where { PLAN_FIRST, PLAN_LAST, PLAN_AT };

/* Warm-up, run-through ... Several FIRST (or LAST) ones follow each other as given. */
struct plan_fixed {
    const char *name;
    enum plan_where where;
    int at_min; /* PLAN_AT: minutes after midnight */
    int minutes;
    bool rest; /* everybody rests in it (a talk in the shade); it is work unless said so */
};

/* What a person decided about a plan; see plan/edit.h. Sets are positions, ends included. */
enum plan_wish_kind {
    PLAN_KEEP,     /* this chunk with exactly so many reps */
    PLAN_LEAVE,    /* no chunk of this group (or everyone) has these sets; see plan/edit.h */
    PLAN_MOVE,     /* this chunk becomes number `to` (from 0) of its group's chunks */
    PLAN_TOGETHER, /* no sectionals */
    PLAN_APART,    /* with sectionals */
};

struct plan_wish {
    enum plan_wish_kind kind;
    int group; /* PLAN_EVERYONE or a group that works apart */
    int first_set, last_set;
    int reps; /* PLAN_KEEP */
    int to;   /* PLAN_MOVE */
};

struct plan_input {
    struct plan_rules rules;
    const struct plan_set *sets;
    const struct plan_group *groups;
    const struct plan_item *items;
    const struct plan_fixed *fixed;
    const struct plan_wish *wishes;
    size_t n_sets, n_groups, n_items, n_fixed, n_wishes;
};

/* --- what goes out -------------------------------------------------------------------------- */

enum plan_kind { PLAN_REP, PLAN_SECTIONAL, PLAN_FIXED, PLAN_BREAK, PLAN_RUN };

/* So begins the name of a sectional that says what comes behind its list: "then its choice". */
#define PLAN_THEN       "then "
#define PLAN_WALK_FIRST "first rep walked at half tempo"

/* A chunk with its reps. */
struct plan_work {
    int start_s, seconds; /* without what rounds a block up to minutes */
    int first_set, last_set;
    int counts;               /* of all its sets */
    double bpm_low, bpm_high; /* of the sets whose tempo is known; 0 = none is */
    int reps;
    int rep_s;   /* playing and reset, without set-up */
    int setup_s; /* of `seconds`, before the first rep */
    int walk_s;  /* the same of the first rep, walked at half tempo; 0 = not walked */
    bool kept;   /* by a PLAN_KEEP */
    /* Which chunk of its block's list it is, from 0, and of how many: as it was planned, also where a
     * stored plan has lost one because the show has its sets no more. */
    int part, parts;
    double gain;
    const int *fixes; /* items worked here, by position; what weighs most first */
    size_t n_fixes;
};

/* Whole minutes. */
struct plan_block {
    enum plan_kind kind;
    int number; /* in its plan, from 0 */
    int start_s, seconds;
    int group;        /* who; PLAN_EVERYONE */
    const char *name; /* of a fixed item, "talk (rest)" for one that is rest; of a run what is run;
                       * of a sectional without a fix what it does instead; else "" */
    bool rest;        /* of a fixed item: everybody rests in it */
    /* One for everyone's reps and for a run (of its sets, without fixes), any number in a sectional,
     * in order; none in other blocks. */
    struct plan_work *list;
    size_t n_list;
    int reps;         /* of the whole list */
    double gain;      /* the same */
    const int *fixes; /* the same, each once */
    size_t n_fixes;
    const char *cautions; /* those of the plan that are about this block, each ended by '\n'; behind
                           * any, who decides. NULL: not known, of a plan of an older show file */
};

enum plan_left {
    PLAN_WORKED,      /* gets at least one rep */
    PLAN_LEFT_TIME,   /* other chunks were worth more */
    PLAN_LEFT_WORTH,  /* there was time, but a block for it mends less than its minutes are worth */
    PLAN_LEFT_ABSENT, /* nobody of its group attends */
    PLAN_LEFT_OUT,    /* a wish left its sets out */
    PLAN_LEFT_CLOSED, /* weight 0: nothing open */
    PLAN_LEFT_HEAT,   /* the heat policy allows no rehearsal outdoors */
};

struct plan_outcome {
    enum plan_left left;
    int reps;    /* of its most rehearsed set */
    double gain; /* part of its weight that the plan is expected to mend */
};

struct plan {
    int start_min, seconds;
    struct plan_block *blocks; /* by start, everyone before groups, groups in order */
    size_t n_blocks;
    struct plan_outcome *outcomes; /* one for each item that came in */
    size_t n_items;
    double gain;
    double weight; /* of all open items of people who attend */
    double
        price; /* of the minutes until the last block is over; the plan has the most gain - price */
    double cost; /* of the wishes, in gain less price: of the plan without them, less this one's */
    bool apart;
    int apart_to_s;       /* end of the sectional period, 0 without one */
    bool not_worst_first; /* the other order left a block no room, so it is the show's */
    int spare_s;          /* time in which nobody has anything planned */
    const char *const
        *cautions; /* lines for a person; the last is always the reminder who decides */
    size_t n_cautions;
};

/* Makes the plan. False with e set: nothing open, no seconds known for a set that is needed (asked
 * for, never invented), minutes too short for one rep or longer than the heat policy allows, fixed
 * items that overlap, wishes that contradict each other or do not fit, fixed items that leave the
 * heat policy's rest no room (e then names an item and the minutes with which there is a plan). A
 * group that nobody attends
 * is no error: its items are left with that reason. */
bool plan_make(const struct plan_input *in, struct arena *a, struct plan *out, struct err *e);

/* "18:05", "18:05:35", "0:10 next day" for a moment of the plan; any numbers, as a show file may be
 * anybody's. */
const char *plan_clock(int start_min, int at_s, char out[24]);

/* One line why an item is left, "" for PLAN_WORKED. */
const char *plan_left_text(enum plan_left left);

#endif
