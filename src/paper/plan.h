/* Writers for the rep plan. */
#ifndef PAPER_PLAN_H
#define PAPER_PLAN_H

#include "paper/paper.h"
#include "plan/report.h"

extern const struct column plan_columns[];

/* The plan for a person: cautions first when nothing may be done, blocks with their fixes and the
 * moments to watch first, what is left and why, who decides. */
void plan_text(const struct plan_report *r, struct buf *out);
void plan_csv(const struct plan_report *r, struct buf *out);
/* {start, minutes, gain, blocks, left, heat, caution} */
void plan_json(const struct plan_report *r, struct buf *out);

const char *plan_kind_name(enum plan_kind k);            /* "rep", "sectional", "fixed", "break" */
const char *plan_block_kind(const struct plan_block *b); /* the same, "rest" for one that is rest */
/* "12 13" */
void plan_sets_text(const struct plan_report *r, const struct plan_block *b, struct buf *out);

#endif
