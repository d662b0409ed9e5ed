/* What the three files of the calendar share. Inner to the room. */
#ifndef PAPER_PLAN_ICS_H
#define PAPER_PLAN_ICS_H

#include "paper/plan.h"

/* On one line, and on several; without control characters and tabs. */
void plan_ics_summary(const struct plan_paper *p, const struct plan_block *b, struct buf *out);
void plan_ics_description(const struct plan_calendar *c, const struct plan_block *b,
                          struct buf *out);
/* The same of the whole rehearsal. */
void plan_ics_frame_summary(const struct plan_paper *p, struct buf *out);
void plan_ics_frame(const struct plan_calendar *c, struct buf *out);
/* A moment of the plan in seconds since 1970 UTC; without a zone, as if clocks showed UTC. Minutes of
 * a rehearsal go by whatever clocks are put to: they count on from its beginning. */
int64_t plan_ics_moment(const struct plan_calendar *c, int start_min, int at_s);
/* What clocks show at that moment, as local seconds (base/zone.h). */
int64_t plan_ics_shown(const struct plan_calendar *c, int64_t at);

#endif
