/* A row being measured: who was seen when, one after the other, as something passed along a form.
 * Enter measures it and makes one mark for all, Esc drops it. */
#ifndef COMMAND_RIPPLE_H
#define COMMAND_RIPPLE_H

#include "command/desk.h"
#include "mark/mark.h"

/* They were seen at the playhead. */
void ripple_add(struct desk *d, const struct target *targets, size_t n);

#endif
