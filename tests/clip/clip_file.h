/* The clips of player/clips.h, by path; a test that cannot have one fails. */
#ifndef TESTS_CLIP_FILE_H
#define TESTS_CLIP_FILE_H

#include <stdlib.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "player/clips.h"

static inline const char *clip_file_of(const char *name)
{
    char *path = clip_path(name);
    if (!path)
        fail_msg("%s: cannot be made", name);
    const char *kept = arena_strdup(test_arena(), path);
    free(path);
    return kept;
}

#endif
