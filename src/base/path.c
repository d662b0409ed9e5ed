#include "base/path.h"

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "base/buf.h"

/* Length of the part both begin with, up to and with a '/'. */
static size_t shared(const char *folder, const char *path)
{
    size_t last = 0;
    for (size_t i = 0; path[i]; i++) {
        const bool folder_ends = !folder[i];
        if (!folder_ends && folder[i] != path[i])
            return last;
        if (path[i] == '/')
            last = i + 1;
        if (folder_ends)
            return path[i] == '/' ? i + 1 : last;
    }
    return last;
}

const char *path_from(struct arena *a, const char *folder, const char *path)
{
    if (*folder != '/' || *path != '/')
        return path;
    struct buf out = {0};
    const size_t same = shared(folder, path);
    const char *rest = strlen(folder) >= same ? folder + same : "";
    while (*rest) { /* a step up for each folder that is left */
        const size_t name = strcspn(rest, "/");
        buf_str(&out, name ? "../" : "");
        rest += name + (rest[name] == '/');
    }
    buf_str(&out, path + same);
    const char *text = arena_strdup(a, buf_text(&out));
    buf_free(&out);
    return text;
}
