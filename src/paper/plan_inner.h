/* What the writers of the rep plan share. Inner to the room. */
#ifndef PAPER_PLAN_INNER_H
#define PAPER_PLAN_INNER_H

#include <jansson.h>

#include "paper/plan.h"

/* A chunk of a block, or a block that has none. */
struct plan_line {
    const struct plan_report *r;
    size_t number; /* of the block, from 0 */
    const struct plan_block *b;
    const struct plan_work *w; /* NULL */
};

/* {target, fault, marks}; the reference is the caller's. */
json_t *plan_target_json(const struct plan_report *r, const struct plan_target *t, int marks);

/* In JSON: a sectional with its list. */
extern const struct column plan_sectional_columns[];

#endif
