/* Whose plan is printed. Inner to the room. */
#ifndef VERB_PLAN_PARTS_H
#define VERB_PLAN_PARTS_H

#include "paper/plan.h"

/* Fills the parts of p->r's plan that p->of names, a section; p->of becomes its name as the show has
 * it. NULL: everybody. False: there is no such section. */
bool plan_parts_read(struct arena *mem, const struct show *show, struct plan_paper *p,
                     struct err *e);

#endif
