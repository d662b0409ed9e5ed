/* What is refused unopened. */
#ifndef CLIP_GUARD_H
#define CLIP_GUARD_H

#include <stdbool.h>

#include "base/err.h"

/* The guard: is it a local, regular, non-empty file that is not a playlist in disguise? Fails with
 * one line that says what it is and what to do. Opens nothing that the file refers to. */
bool clip_guard(const char *path, struct err *e);

#endif
