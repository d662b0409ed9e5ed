/* The files that come with the program. */
#ifndef VERB_SHARE_H
#define VERB_SHARE_H

#include "base/buf.h"
#include "base/err.h"

/* A file of the installed share folder (or BOXCALL_SHARE). */
bool share_read(const char *name, struct buf *out, struct err *e);

#endif
