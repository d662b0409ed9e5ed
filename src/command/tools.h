/* All that can be done: the commands, and the screens with the commands that open them. A value
 * that is handed over, so that who runs a command need not know any. */
#ifndef COMMAND_TOOLS_H
#define COMMAND_TOOLS_H

#include "base/near.h"
#include "command/screen.h"

struct tools {
    const struct command *commands;      /* ends with a row without a name */
    const struct screen *const *screens; /* ends with NULL; the first is the one to begin with */
};

/* The command of that name (n bytes); NULL when there is none. */
const struct command *tool_named(const struct tools *t, const char *name, size_t n);
/* Number `i` of all: the commands, then those of the screens; NULL past the end. */
const struct command *tool_nth(const struct tools *t, size_t i);
/* "; did you mean 'seek'?" for a name that is none, or `otherwise`. */
struct near_said tool_near(const struct tools *t, const char *name, const char *otherwise);

#endif
