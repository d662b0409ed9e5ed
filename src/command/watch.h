/* Which stretches were really watched: played through at a speed one can see at. Seeking over a
 * stretch is not watching it. */
#ifndef COMMAND_WATCH_H
#define COMMAND_WATCH_H

#include "command/desk.h"

/* Follows what is being watched; stores it now and then. */
void watch_follow(struct desk *d);
/* What was being watched ends here, and is stored. */
void watch_end(struct desk *d);

#endif
