/* What is installed beside the program: the tables that a show begins with, the heat policy. */
#ifndef APP_SHARE_H
#define APP_SHARE_H

#include "base/buf.h"
#include "base/err.h"

/* A file of the installed share folder (or BOXCALL_SHARE). */
bool share_read(const char *name, struct buf *out, struct err *e);

#endif
