/* A person who measures the reaction lead, on a desk without a terminal and with a clock of the
 * test's own. */
#ifndef COMMAND_SLIPS_H
#define COMMAND_SLIPS_H

#include "command/lead.h"

void begin_to_measure(struct desk *d);
/* Time goes by, as the loop sees it, until somebody slips. */
void until_a_slip(struct desk *d);
void until_a_slip_of_trumpets(struct desk *d); /* naming others wrongly */
/* The keys that would name the slip. */
const char *right_section(const struct desk *d);
const char *right_fault(const struct desk *d);
void type_keys(struct desk *d, const char *letters);
/* The first key so long after the slip was seen, and the rest whenever. */
void answer(struct desk *d, double ms, const char *section, const char *fault);

#endif
