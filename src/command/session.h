/* A desk from its beginning to its end. */
#ifndef COMMAND_SESSION_H
#define COMMAND_SESSION_H

#include "command/desk.h"
#include "command/tools.h"

/* app and tools stay the caller's. The config file of keys is read here; its errors are the
 * program's. */
bool desk_open(struct desk *d, struct app *app, const struct tools *tools, struct err *e);
/* False when the video's window does not answer: the program must leave by _exit() then. All marks
 * are in the file either way. */
bool desk_close(struct desk *d);
/* Takes in what the player did and what other programs wrote into the show file. Returns whether
 * anything a screen shows has changed. */
bool desk_poll(struct desk *d);

#endif
