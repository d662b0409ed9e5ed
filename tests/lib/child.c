#include "lib/child.h"

#include <errno.h>
#include <stdbool.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "lib/files.h"

extern char **environ;

const char *program_path(const char *name)
{
    const char *path = strcmp(name, "boxcall") == 0 ? getenv("BOXCALL") : NULL;
    return path ? path : name;
}

const char **child_argv(const char *program, va_list rest)
{
    const char **argv = arena_alloc(test_arena(), 64 * sizeof *argv);
    size_t n = 0;
    argv[n++] = program_path(program);
    for (const char *arg; n < 63 && (arg = va_arg(rest, const char *)) != NULL;)
        argv[n++] = arg;
    return argv;
}

const char *child_line(const char **argv)
{
    const char *line = "";
    for (; *argv; argv++)
        line = arena_printf(test_arena(), "%s%s%s", line, *line ? " " : "", *argv);
    return line;
}

static size_t name_length(const char *setting)
{
    return strcspn(setting, "=");
}

static size_t set(char **env, size_t n, const char *setting)
{
    size_t len = name_length(setting), i = 0;
    while (i < n && (name_length(env[i]) != len || strncmp(env[i], setting, len) != 0))
        i++;
    if (setting[len] == '=') {
        env[i] = arena_strdup(test_arena(), setting);
        return i == n ? n + 1 : n;
    }
    if (i == n)
        return n;
    env[i] = env[n - 1];
    return n - 1;
}

/* What the machine must lend: where programs are, and how sanitizers and coverage report. */
static bool is_lent(const char *setting)
{
    static const char *const whole[] = {"PATH=", "TMPDIR=", "LD_LIBRARY_PATH="};
    static const char *const start[] = {"ASAN_", "UBSAN_", "LSAN_", "TSAN_", "GCOV_", "BOXCALL_"};
    for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
        if (strncmp(setting, whole[i], strlen(whole[i])) == 0)
            return true;
    for (size_t i = 0; i < sizeof start / sizeof *start; i++)
        if (strncmp(setting, start[i], strlen(start[i])) == 0)
            return true;
    return false;
}

char **child_env(const char *home, const char *const extra[])
{
    enum { ROOM = 200 };
    char **env = arena_alloc(test_arena(), (ROOM + 1) * sizeof *env);
    size_t n = 0;
    for (char **e = environ; *e && n < ROOM / 2; e++)
        if (is_lent(*e))
            n = set(env, n, *e);
    static const char *const fixed[] = {"TERM=xterm-256color", "LANG=C.UTF-8", "TZ=UTC",
                                        "ESCDELAY=25"};
    for (size_t i = 0; i < sizeof fixed / sizeof *fixed; i++)
        n = set(env, n, fixed[i]);
    if (!home)
        home = temp_dir();
    static const char *const folders[][2] = {{"HOME", ""},
                                             {"XDG_CONFIG_HOME", "/.config"},
                                             {"XDG_CACHE_HOME", "/.cache"},
                                             {"XDG_DATA_HOME", "/.local"}};
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++) {
        char *s = arena_printf(test_arena(), "%s=%s%s", folders[i][0], home, folders[i][1]);
        mkdir(s + name_length(s) + 1, 0700);
        n = set(env, n, s);
    }
    for (; extra && *extra && n < ROOM; extra++)
        n = set(env, n, *extra);
    return env;
}

void child_exec(const char **argv, char **env, const char *dir)
{
    prctl(PR_SET_PDEATHSIG, SIGKILL); /* a test that is killed leaves nothing running */
    if (dir && chdir(dir) != 0) {
        fprintf(stderr, "%s: %s\n", dir, strerror(errno));
        _exit(126);
    }
    execvpe(argv[0], (char *const *)argv, env);
    fprintf(stderr, "%s: cannot start it: %s\n", argv[0], strerror(errno));
    _exit(127);
}

int child_status(int wait_status)
{
    return WIFSIGNALED(wait_status) ? -WTERMSIG(wait_status) : WEXITSTATUS(wait_status);
}

long long now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec * 1000LL + t.tv_nsec / 1000000;
}
