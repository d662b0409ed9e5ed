#include "clip/find.h"

#include <dirent.h>
#include <string.h>
#include <sys/stat.h>

#include "clip/probe.h"
#include "sys/file.h"

static bool same_clip(const char *path, const struct clip_file *c)
{
    struct stat st;
    struct media m;
    struct err ignored;
    if (stat(path, &st) != 0 || !S_ISREG(st.st_mode) || st.st_size != c->size_bytes)
        return false;
    bool same = clip_probe(path, 0, &m, &ignored) && strcmp(m.head_tail, c->head_tail) == 0;
    media_free(&m);
    return same;
}

/* A file in `folder` of the clip's size and digest, or NULL. */
static const char *look_in(struct arena *a, const char *folder, const struct clip_file *c)
{
    DIR *d = opendir(folder);
    const char *found = NULL;
    struct dirent *entry;
    while (d && !found && (entry = readdir(d))) {
        const char *path = arena_printf(a, "%s/%s", folder, entry->d_name);
        if (same_clip(path, c))
            found = path;
    }
    if (d)
        closedir(d);
    return found;
}

const char *clip_find(const struct clip_file *c, const char *folder, struct arena *a)
{
    if (file_exists(c->path))
        return c->path;
    const char *name = strrchr(c->path, '/');
    const char *beside = arena_printf(a, "%s%s", folder, name ? name : c->path);
    if (same_clip(beside, c))
        return beside;
    const char *found = look_in(a, *folder ? folder : "/", c);
    if (!found && name)
        found = look_in(a, arena_strndup(a, c->path, (size_t)(name - c->path)), c);
    return found;
}
