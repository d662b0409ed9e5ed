#include "command/tools.h"

#include <string.h>
const struct command *tool_nth(const struct tools *t, size_t i)
{
    size_t n = 0;
    while (t->commands[n].name)
        n++;
    if (i < n)
        return &t->commands[i];
    for (size_t k = 0; t->screens[k]; k++)
        if (k == i - n)
            return &t->screens[k]->open;
    return NULL;
}

const struct command *tool_named(const struct tools *t, const char *name, size_t n)
{
    const struct command *c;
    for (size_t i = 0; (c = tool_nth(t, i)) != NULL; i++)
        if (strlen(c->name) == n && strncmp(c->name, name, n) == 0)
            return c;
    return NULL;
}

struct near_said tool_near(const struct tools *t, const char *name, const char *otherwise)
{
    struct near near = {.word = name};
    const struct command *c;
    for (size_t i = 0; (c = tool_nth(t, i)) != NULL; i++)
        near_offer(&near, c->name);
    return near_said(&near, otherwise);
}
