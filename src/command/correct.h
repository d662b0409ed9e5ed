/* A call that says the wrong thing is put right: whom, what, when, in which clip. A hold: its picture
 * is shown, the keys that move go on working, and one key or chord says what is right. */
#ifndef COMMAND_CORRECT_H
#define COMMAND_CORRECT_H

#include "command/desk.h"
#include "mark/mark.h"

/* The mark that is being put right; NULL while none is. */
const struct mark *correct_open(const struct desk *d);

#endif
