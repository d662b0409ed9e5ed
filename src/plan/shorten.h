/* What to shorten when fixed items leave the heat policy's rest, or any rep beside it, no room.
 * Inner to the room. */
#ifndef PLAN_SHORTEN_H
#define PLAN_SHORTEN_H

#include "plan/plan.h"

/* Sets e to a line that names fixed items and minutes with which there is a plan: each one that
 * would do alone, else all that must be shorter together; every number was tried. Returns false. */
bool plan_shorten(const struct plan_input *in, struct err *e);

/* Is there a fixed item that could be shortened for a heat policy? */
bool plan_may_shorten(const struct plan_input *in);

#endif
