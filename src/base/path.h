/* Paths as text: nothing is looked up on a disk. */
#ifndef BASE_PATH_H
#define BASE_PATH_H

#include "base/arena.h"

/* How a link in a file of `folder` names `path`: "../clips/tuesday.mp4". Both are absolute and
 * hold no "." or ".."; what is not absolute comes back as it is. The text lives in the arena, or is
 * `path` itself. */
const char *path_from(struct arena *a, const char *folder, const char *path);

#endif
