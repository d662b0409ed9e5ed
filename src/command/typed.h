/* Moments as a person types them. */
#ifndef COMMAND_TYPED_H
#define COMMAND_TYPED_H

#include "command/desk.h"

/* "14.5", "set 14", "+16 counts", "5:58.2": the time it means from here; false with e set. */
bool typed_moment(const struct desk *d, const char *text, int64_t *us, struct err *e);
/* Seeks to a typed moment, or says why not. */
void go_typed(struct desk *d, const char *text);

#endif
