/* A measure that becomes a mark. Inner to command/measuring.c. */
#ifndef COMMAND_MEASURING_MARK_H
#define COMMAND_MEASURING_MARK_H

#include "base/buf.h"
#include "command/measuring.h"

/* "T3;T4 closed interval": whom and what it would most likely be about. */
void measuring_offer(const struct desk *d, const struct measuring *m, struct buf *out);
/* Marks what the person wrote, with the numbers that were measured. */
void measuring_mark(struct desk *d, const struct measuring *m, const char *text);

#endif
