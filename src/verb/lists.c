#include "verb/lists.h"

#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "sys/file.h"

static bool named_folder(const char *name, char **out, struct err *e)
{
    struct stat st;
    if (stat(name, &st) == 0 && !S_ISDIR(st.st_mode))
        return err_set(e, ERR_INPUT,
                       "--link-from %s: is no folder; name the one that the list will "
                       "lie in",
                       name);
    *out = file_exists(name) ? file_absolute(name, e) : NULL;
    return *out || err_set(e, ERR_INPUT, "--link-from %s: there is no such folder", name);
}

bool lists_open(struct call *c, struct app *app, struct err *e)
{
    const char *name = call_value(c, "link-from");
    char *folder = NULL;
    if (name && !named_folder(name, &folder, e))
        return false;
    if (!name)
        folder = file_folder_behind(STDOUT_FILENO);
    const bool ok = app_open(app, c->words[0], e);
    if (ok && folder)
        app->link_from = arena_strdup(&c->memory, folder);
    free(folder);
    return ok;
}
