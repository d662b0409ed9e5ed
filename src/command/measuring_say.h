/* What the clicks of a person who measures say. Inner to command/measuring.c. */
#ifndef COMMAND_MEASURING_SAY_H
#define COMMAND_MEASURING_SAY_H

#include "command/measuring.h"

/* Makes m->said, m->measured and m->fit anew from the clicks. */
void measuring_say(struct desk *d, struct measuring *m);
/* Is the mark of this measure about who stands at a click? Of gaps the two of the one that is furthest
 * off; of a line, an arc or a form those who are off it; else everybody. */
bool measuring_about(const struct measuring *m, size_t click);
/* Who stands at a click, when it is clear: a position in the roster; -1. */
int measuring_who(const struct desk *d, const struct measuring *m, size_t click, struct arena *mem);

#endif
