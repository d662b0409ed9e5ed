/* A clip's file found again when it was moved or renamed. */
#ifndef CLIP_FIND_H
#define CLIP_FIND_H

#include <stdint.h>

#include "base/arena.h"

/* What is known of it. */
struct clip_file {
    const char *path; /* where it was; absolute */
    int64_t size_bytes;
    const char *head_tail; /* see struct media */
};

/* Where it was, else in `folder` (without the last '/'; "" is the root) by its name, else there or
 * in its old folder under any name. What is found elsewhere has its size and digest. NULL when it
 * is nowhere; the text lives in the arena. */
const char *clip_find(const struct clip_file *c, const char *folder, struct arena *a);

#endif
