/* New ties. */
#ifndef COMMAND_TIE_H
#define COMMAND_TIE_H

#include "command/desk.h"

enum tie_outcome { TIE_REFUSED, TIE_MADE, TIE_ASKED };

/* Ties as a step named `what`, or asks first when the tie cannot be one run with the others. */
enum tie_outcome tie_make(struct desk *d, const struct tie *t, const char *what);

#endif
