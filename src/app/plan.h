/* From open marks to the next rehearsal. */
#ifndef APP_PLAN_H
#define APP_PLAN_H

#include "app/app.h"
#include "plan/edit.h"
#include "plan/from_show.h"
#include "plan/weather.h"

struct plan_ask;

struct plan_choice {
    struct plan_rules rules;      /* breaks are filled here from heat */
    int work_min, rest_min;       /* another rhythm than the default; 0: none, and with a reading */
    bool learn_history;           /* p of the rules is what the show's own rehearsals say */
    bool tell_history;            /* the report says what they say */
    const struct plan_ask *asked; /* what it was read from, to be kept beside the plan; NULL */
    const char *date;             /* of the rehearsal that is planned */
    struct plan_attend who;
    const struct plan_fixed *fixed;
    size_t n_fixed;
    const char *const *clips;
    size_t n_clips;
    const char *since;
    const char *const *seconds; /* "12:35.5": set 12 takes so long, whatever its tempo */
    size_t n_seconds;
    struct plan_weather weather; /* its policy: app_policy() */
    bool indoors;                /* a closed field closes nothing */
    const char *policy_path;     /* where it is from, absolute; "" or NULL: share/heat-policy.csv */
    const struct plan_wish *wishes;
    size_t n_wishes;
};

/* From the marks that are open in those clips (plan/gather.h), the show (plan/from_show.h) and the
 * weather (plan/weather.h). The report is the arena's throughout: it may be read when the show was
 * loaded again, and its positions are those of its own report.show. */
bool app_plan(struct app *a, const struct plan_choice *choice, struct arena *mem,
              struct plan_report *out, struct err *e);

/* Fills what of the choice's marks waits for a decision now. */
void app_plan_decide(struct app *a, const struct plan_choice *choice, struct arena *mem,
                     struct plan_report *out);
/* The weather of a stored plan in words, a line each. "" without heat figures, or where they cannot be read any more. */
const char *app_plan_weather_words(const char *asked, struct arena *mem);
/* What reps mended so far, in words of the report; used in its rules when that was asked for. */
bool app_plan_learn(struct app *a, const struct plan_choice *choice, struct arena *mem,
                    struct plan_report *out, struct err *e);
/* The plan of a date as it is stored, changed by hand or ticked off as it may be; moments are those
 * that there are now, and no line is said to be left. False with ERR_INPUT when none is stored. */
bool app_plan_stored(struct app *a, const char *date, struct arena *mem, struct plan_report *out,
                     struct err *e);

/* Stores the plan as that of its date, with what it was made from. */
bool app_plan_keep(struct app *a, const struct plan_choice *choice, const struct plan_report *r,
                   struct arena *mem, struct err *e);
/* The rows that a plan has in the show file: a row for each chunk, one for a block without. */
void app_plan_rows(const struct plan_report *r, struct arena *mem, struct rep_plan *out);

/* --- heat ------------------------------------------------------------------------------------ */

/* The policy table of that file, "" for the one that is installed; the arena's. All its wrong cells
 * are told in talk, unless that is NULL. */
bool app_policy(const char *path, struct table_talk *talk, struct arena *mem,
                const struct policy **out, struct err *e);

/* The reading that a day's plan was asked for with, so that another plan of the day cannot drop it
 * silently. In the show file it is the setting "wbgt DATE": °F, then the policy's path. */
struct plan_reading {
    bool known;
    bool held; /* from the show file, not asked for now */
    double wbgt_f;
    const char *policy_path;
};
struct plan_reading app_plan_reading(struct app *a, const char *date, struct arena *mem);
/* Keeps the choice's reading for its date, or that there is none. */
bool app_plan_keep_reading(struct app *a, const struct plan_choice *choice, struct arena *mem,
                           struct err *e);

/* What a row of a stored plan is called: "3", or "3.2" in a block of several chunks. */
const char *app_plan_number(const struct rep_plan *p, size_t row, char out[24]);
/* Is something of it ticked off? */
bool app_plan_ticked(const struct rep_plan *p);

/* The policy closes the field: the day's plan goes, unless blocks of it are ticked off. */
enum plan_taken { PLAN_NOT_THERE, PLAN_TAKEN_AWAY, PLAN_HAS_TICKS };
bool app_plan_take_away(struct app *a, const char *date, struct arena *mem, enum plan_taken *out,
                        struct err *e);

enum { TICK_PLANNED = -2, TICK_BACK = -1 };
struct plan_tick {
    int64_t plan;     /* its row */
    size_t from, n;   /* rows of its blocks: chunks */
    int reps_made;    /* of each; TICK_PLANNED: as many as planned; TICK_BACK: it was not done */
    const char *what; /* how the step is called: "block 3" */
};
struct plan_ticked {
    int marks;         /* that changed */
    const char *lines; /* "trumpets: horn angle (2), tubas: interval (1)" */
};
/* Chunks of a stored plan were done: the open marks of their lines become repped, but for those that
 * wait for a decision; or they were not done after all: those that were repped are open again. Says
 * which. A step that undo takes back whole. The show is read again: positions in it may have
 * moved. */
bool app_plan_tick(struct app *a, const struct plan_tick *done, struct arena *mem,
                   struct plan_ticked *out, struct err *e);

/* The first moment of a chunk of a stored plan among the marks that there are now; false when none
 * of its lines has one in its sets. */
struct plan_found {
    int64_t clip, at_us, mark;
};
bool app_plan_moment(struct app *a, const struct rep_block *b, struct plan_found *out,
                     struct err *e);

#endif
