/* From a line of a list to its moment in the clip. */
#ifndef COMMAND_MOMENT_H
#define COMMAND_MOMENT_H

#include "command/desk.h"

/* Opens the clip (a row), plays the moment in a loop from a little before it, in the review. */
void moment_play(struct desk *d, int64_t clip, int64_t at_us, int64_t mark);

#endif
