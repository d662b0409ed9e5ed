#ifndef COMMAND_PLAN_H
#define COMMAND_PLAN_H

#include "app/plan.h"
#include "command/desk.h"

enum { PLAN_UNDO = 32 };

/* The rep plan on the desk: what was asked for, what the person changed, what came out.
 *
 * Nothing here points into the show that the desk holds, so the show may be loaded again at any
 * moment. Positions are never carried over such a load unseen: the rows are read from the show file
 * anew (plan_follow()), and a draft with its wishes lives on only while every section, fault and
 * set stands at its place by name (plan_report_holds()) and the rows still say the same; else the
 * plan is shown as it is stored, and the message says why. */
struct desk_plan {
    int minutes, start_min;
    char date[11];
    char wbgt[16]; /* the day's reading as typed in a message, "88F"; "" without one */

    struct arena memory; /* of the report */
    struct plan_report report;
    bool draft; /* the report is the plan of the rows; else only what the show file keeps is known:
                 * ticks, but no changes */
    struct arena rows_memory;
    struct rep_plan kept;     /* its rows in the show file, with the ticks */
    struct plan_words *words; /* [kept.n_blocks]: what each is for, as printed */

    struct plan_wishes wishes;
    struct plan_wishes before[PLAN_UNDO]; /* the wishes before each change, newest last */
    size_t n_before;
    size_t line;
    double gain_before; /* of the plan before the last change */
};

struct plan_words {
    const char **fix; /* "trumpets: horn angle (3)" */
    size_t n;
};

/* Do the keys that change a plan work on this one? Not on a stored one, nor on one of which blocks
 * are ticked off. */
bool plan_may_change(const struct desk_plan *p);

/* The one on the desk; NULL when there is none. */
struct desk_plan *plan_now(const struct desk *d);
/* Shows the plan, or today's stored one, or asks for a new one; arg orders it: "90 18:00 88F". */
void plan_open(struct desk *d, const char *arg);
/* The show was loaded again: the rows are read anew. False when it is not the plan any more that
 * was shown: another program made a new one, or took it away. */
bool plan_follow(struct desk *d);
/* Its last change taken back; false when that is another's business. */
bool plan_undo(struct desk *d);
/* The first moment of the chosen block; false, and said, when it has none. */
bool plan_moment(struct desk *d, int64_t *clip, int64_t *at_us, int64_t *mark);
/* Makes the plan anew around its wishes, with the day's reading, stores it and says what it gains;
 * on failure everything stays as it was, but for the message. */
bool plan_remake(struct desk *d, struct err *e);

#endif
