/* What a person changed of a plan, as it is kept in the show file: names, as positions move. */
#ifndef APP_PLAN_KEPT_H
#define APP_PLAN_KEPT_H

#include "plan/edit.h"
#include "plan/report.h"

/* "keep\ttrumpets\t3\t5\t4\t0\n": kind, group ("" for everyone), first and last set, reps, place. */
const char *plan_wishes_text(const struct plan_wishes *w, const struct plan_report *r,
                             struct arena *mem);
/* Adds the wishes of a text to a list. False when one of them speaks of something that the report
 * does not know (any more): the others are there. */
bool plan_wishes_parse(const char *text, const struct plan_report *r, struct plan_wishes *out);

#endif
