/* What the writers of the rep plan share. Inner to the room. */
#ifndef PAPER_PLAN_INNER_H
#define PAPER_PLAN_INNER_H

#include "paper/plan.h"

/* Is the moment in one of the block's sets? How many of a line's are? */
bool plan_in_block(const struct plan_block *b, const struct report_moment *m);
int plan_marks_in(const struct plan_block *b, const struct plan_target *t);
/* Why the block's sets are walked first: "set 2: T1 and M4 come within ...". */
void plan_walks_text(const struct plan_report *r, const struct plan_block *b, struct buf *out);

#endif
