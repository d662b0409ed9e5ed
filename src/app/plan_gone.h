/* What earlier plans of a day had. A plan that is replaced goes from its table; what it had is kept as
 * the setting "events DATE", which holds a sequence number and a time, then a line for each event: UID,
 * start and end, whose it is, title. */
#ifndef APP_PLAN_GONE_H
#define APP_PLAN_GONE_H

#include "plan/event.h"
#include "store/store.h"

/* The day's plan is about to be another, or none: keeps what it had. Joins the open step. */
bool app_plan_gone_keep(struct store *s, const char *date, struct arena *mem, struct err *e);

/* What is known of a day; `at` is heap memory, its texts are the arena's. */
struct plan_known {
    struct plan_gone *at;
    size_t n, cap;
    int sequence;    /* of the plan that was stored last; 0 where none is known */
    int64_t made_ms; /* when it was; 0 the same */
};
struct plan_known plan_known_read(struct store *s, const char *date, struct arena *mem);
/* The events of a stored plan; what was done stays in calendars as it was, so it is not among them. */
void plan_known_add(struct plan_known *k, const char *show_uuid, const struct rep_plan *p,
                    struct arena *mem);

/* The sequence number that a plan of that time has at least. */
int plan_sequence_at(int64_t made_ms);
int plan_later(int a, int b);
/* Times as a plan can have them: it begins in its day and is over within four. */
bool plan_in_a_rehearsal(int start_min, int start_s, int seconds);

#endif
