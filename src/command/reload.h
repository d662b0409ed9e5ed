/* The desk follows the show file: what others write is read again, whatever is being done. */
#ifndef COMMAND_RELOAD_H
#define COMMAND_RELOAD_H

#include "command/desk.h"

/* Reads the show again. Nothing keeps a position in it: what the parts remember is rows of the
 * file. */
bool desk_reload(struct desk *d, struct err *e);
/* Takes in what happened to the show file; true when a screen has something new to show. */
bool desk_follow(struct desk *d);

#endif
