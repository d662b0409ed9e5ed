#ifndef COMMAND_PLAN_H
#define COMMAND_PLAN_H

#include "app/plan_ask.h"
#include "command/desk.h"

enum { PLAN_UNDO = 32 };

/* The rep plan on the desk: what was asked for, what the person changed, what came out.
 *
 * It is shown from its rows in the show file. When it can be made from what is in the file now and
 * comes out the same, it is a draft too: its report is there, with moments, and it can be changed.
 * When it does not (marks changed, something of it is ticked off), only its rows are known.
 *
 * Nothing here points into the show that the desk holds, so the show may be loaded again at any
 * moment. Positions are never carried over such a load unseen: the rows are read from the show file
 * anew (plan_follow()), and a draft with its wishes lives on only while every section, fault and
 * set stands at its place by name (plan_report_holds()) and the rows still say the same; else the
 * plan is read as it is stored, and the message says why. */
struct desk_plan {
    char date[11];
    struct arena ask_memory;
    struct plan_ask ask; /* empty: from an older show file, which did not keep it */

    struct arena memory; /* of the report */
    struct plan_report report;
    bool draft; /* the report is the plan of the rows */
    struct arena rows_memory;
    struct rep_plan kept;     /* its rows in the show file, with the ticks */
    struct plan_words *words; /* [kept.n_blocks]: what each is for, as printed */
    const char *wbgt;         /* the reading it was made with, as "88F"; "" without one */
    const char *weather;      /* what the heat asks, a line each; "" without figures */

    struct plan_wishes wishes;
    struct plan_wishes before[PLAN_UNDO]; /* the wishes before each change, newest last */
    size_t n_before;
    size_t line;        /* of kept.blocks */
    double gain_before; /* of the plan before the last change */
};

struct plan_words {
    const char **fix; /* "trumpets: horn angle (3)" */
    size_t n;
};

/* Do the keys that change a plan work on this one at once? */
bool plan_may_change(const struct desk_plan *p);
/* Does the heat policy close the field to its report? */
bool plan_closed(const struct desk_plan *p);

/* The one on the desk; NULL when there is none. */
struct desk_plan *plan_now(const struct desk *d);
/* Shows the plan, or today's stored one, or asks for a new one; arg orders it ("90 18:00 88F") or
 * names the day of a stored one. */
void plan_open(struct desk *d, const char *arg);
/* The show was loaded again: the rows are read anew. False when it is not the plan any more that
 * was shown: another program made a new one, or took it away. */
bool plan_follow(struct desk *d);
/* Its last change taken back; false when that is another's business. */
bool plan_undo(struct desk *d);
/* The first moment of the chosen chunk; false, and said, when it has none. */
bool plan_moment(struct desk *d, int64_t *clip, int64_t *at_us, int64_t *mark);
/* Makes the plan anew around its wishes, stores it and says what it gains; on failure everything
 * stays as it was, but for the message. */
bool plan_remake(struct desk *d, struct err *e);
/* The block and chunk of the chosen line. */
struct plan_spot plan_spot_of(const struct desk_plan *p);

/* --- inner ------------------------------------------------------------------------------------- */

/* The stored plan of a day on the desk, as a draft where it comes out the same; false with ERR_INPUT
 * when there is none. */
bool plan_open_day(struct desk *d, const char *date, struct err *e);
/* Makes the plan that is asked for and stores it, or asks first when one of its day is stored
 * already. Says what came out. */
void plan_order(struct desk *d, const struct plan_ask *ask);
/* The same, with the wishes of the plan on the desk, when a change of it was wanted that needs a new
 * plan; asks first. */
void plan_order_anew(struct desk *d);
/* What the day's plan was asked for with, or nothing; with its heat reading. */
struct plan_ask plan_day_ask(struct desk *d, const char *date, struct arena *mem);

/* The plan in the place of the one that was there; NULL: none. */
void plan_put(struct desk *d, struct desk_plan *p);
void plan_free(struct desk_plan *p);
struct desk_plan *plan_new(const char *date, const struct plan_ask *ask);
/* Reads the day's rows; on failure (none is ERR_INPUT) everything stays. */
bool plan_read_rows(struct desk *d, struct desk_plan *p, bool *same, struct err *e);
bool plan_same_rows(const struct rep_plan *a, const struct rep_plan *b);
/* What it is asked for with, its date and wishes; points into the plan. */
bool plan_choice_of(const struct desk_plan *p, struct arena *mem, struct plan_choice *out,
                    struct err *e);
/* Makes its report from its ask and wishes, without storing it; on failure it has none. */
bool plan_make_report(struct desk *d, struct desk_plan *p, struct err *e);

#endif
