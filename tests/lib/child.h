/* The surroundings a program under test sees: always the same, nothing of the machine's own. */
#ifndef LIB_CHILD_H
#define LIB_CHILD_H

#include <stdarg.h>
#include <sys/types.h>

/* "boxcall" is the program that BOXCALL names (meson sets it); anything else stays as it is. */
const char *program_path(const char *name);

/* Collects `program` and the arguments up to the NULL into an argv. */
const char **child_argv(const char *program, va_list rest);
/* The same as one line, for messages. */
const char *child_line(const char **argv);

/* TERM=xterm-256color LANG=C.UTF-8 TZ=UTC ESCDELAY=25, HOME, XDG_CONFIG_HOME, XDG_CACHE_HOME and
 * XDG_DATA_HOME inside `home` (NULL: a fresh folder), PATH, TMPDIR and what sanitizers and
 * BOXCALL_* settings need. Then `extra`, a NULL-terminated list (may be NULL): "NAME=value" sets,
 * "NAME" takes away. So LINES, COLUMNS, DISPLAY, WAYLAND_DISPLAY, NO_COLOR are absent unless
 * `extra` has them. */
char **child_env(const char *home, const char *const extra[]);

/* After fork: goes to `dir` (unless NULL) and becomes the program; does not return. */
void child_exec(const char **argv, char **env, const char *dir) __attribute__((noreturn));

/* Exit code, or minus the signal that ended it. */
int child_status(int wait_status);

/* Milliseconds on the monotonic clock, for deadlines only. */
long long now_ms(void);

enum { DEADLINE_MS = 20000 }; /* generous: a machine may be busy, a wait ends as soon as it can */

#endif
