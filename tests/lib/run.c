#include "lib/run.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/buf.h"

enum { IN, OUT, ERR, PIPES };

static void become(const struct run_setup *s, int pipes[PIPES][2], const char **argv, char **env)
{
    dup2(pipes[IN][0], STDIN_FILENO);
    dup2(pipes[OUT][1], STDOUT_FILENO);
    dup2(pipes[ERR][1], STDERR_FILENO);
    if (s->out_to) {
        int fd = open(s->out_to, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
        if (fd < 0 || dup2(fd, STDOUT_FILENO) < 0)
            _exit(126);
    }
    if (s->file_limit) {
        struct rlimit limit = {.rlim_cur = s->file_limit, .rlim_max = s->file_limit};
        setrlimit(RLIMIT_FSIZE, &limit);
    }
    signal(SIGPIPE, SIG_DFL);
    child_exec(argv, env, s->dir);
}

/* Feeds standard input and collects both outputs until both have ended. False when too late. */
static bool converse(const struct run_setup *s, int in, int out[2], struct buf said[2])
{
    const char *p = s->in ? s->in : "";
    size_t left = s->in_n ? s->in_n : strlen(p);
    long long until = now_ms() + 3 * DEADLINE_MS;
    while (out[0] >= 0 || out[1] >= 0) {
        if (in >= 0 && !left) {
            close(in);
            in = -1;
        }
        struct pollfd fds[] = {{.fd = out[0], .events = POLLIN},
                               {.fd = out[1], .events = POLLIN},
                               {.fd = in, .events = POLLOUT}};
        poll(fds, 3, 1000);
        if (now_ms() > until)
            break;
        if (fds[2].revents) {
            ssize_t w = write(in, p, left);
            if (w > 0)
                p += w;
            left = w < 0 && errno != EAGAIN ? 0 : left - (size_t)(w > 0 ? w : 0);
        }
        for (int i = 0; i < 2; i++) {
            char chunk[65536];
            if (!fds[i].revents)
                continue;
            ssize_t n = read(out[i], chunk, sizeof chunk);
            if (n > 0) {
                buf_add(&said[i], chunk, (size_t)n);
            } else {
                close(out[i]);
                out[i] = -1;
            }
        }
    }
    if (in >= 0)
        close(in);
    return out[0] < 0 && out[1] < 0;
}

static struct run run_argv(const struct run_setup *s, const char **argv)
{
    char **env = child_env(s->home, s->env);
    int pipes[PIPES][2];
    for (int i = 0; i < PIPES; i++)
        if (pipe2(pipes[i], O_CLOEXEC) != 0)
            fail_msg("cannot make a pipe: %s", strerror(errno));
    fflush(NULL);
    pid_t pid = fork();
    if (pid == 0)
        become(s, pipes, argv, env);
    close(pipes[IN][0]);
    close(pipes[OUT][1]);
    close(pipes[ERR][1]);
    fcntl(pipes[IN][1], F_SETFL, O_NONBLOCK);
    void (*pipe_was)(int) = signal(SIGPIPE, SIG_IGN);
    struct buf said[2] = {{0}};
    bool ended = converse(s, pipes[IN][1], (int[]){pipes[OUT][0], pipes[ERR][0]}, said);
    signal(SIGPIPE, pipe_was);
    if (!ended)
        kill(pid, SIGKILL);
    int status = 0;
    waitpid(pid, &status, 0);
    struct run r = {.status = child_status(status),
                    .out = arena_strndup(test_arena(), buf_text(&said[0]), said[0].n),
                    .err = arena_strndup(test_arena(), buf_text(&said[1]), said[1].n),
                    .out_n = said[0].n,
                    .err_n = said[1].n,
                    .said = child_line(argv)};
    buf_free(&said[0]);
    buf_free(&said[1]);
    if (!ended)
        fail_msg("'%s' did not end; it had said:\n%s%s", r.said, r.out, r.err);
    return r;
}

struct run run(const char *program, ...)
{
    va_list rest;
    va_start(rest, program);
    const char **argv = child_argv(program, rest);
    va_end(rest);
    return run_argv(&(struct run_setup){0}, argv);
}

struct run run_in(const char *in, const char *program, ...)
{
    va_list rest;
    va_start(rest, program);
    const char **argv = child_argv(program, rest);
    va_end(rest);
    return run_argv(&(struct run_setup){.in = in}, argv);
}

struct run run_with(const struct run_setup *setup, const char *program, ...)
{
    va_list rest;
    va_start(rest, program);
    const char **argv = child_argv(program, rest);
    va_end(rest);
    return run_argv(setup, argv);
}

bool have_program(const char *name)
{
    return run("sh", "-c", "command -v \"$1\"", "sh", name, NULL).status == 0;
}

void assert_exit_at(const struct run *r, int status, const char *file, int line)
{
    if (r->status == status)
        return;
    print_error("'%s' ended with %d, not %d; it said:\n%.4000s%.4000s\n", r->said, r->status,
                status, r->err, r->out);
    _fail(file, line);
}

void assert_quiet_at(const struct run *r, const char *file, int line)
{
    assert_exit_at(r, 0, file, line);
    if (!r->err_n)
        return;
    print_error("'%s' should have said nothing on standard error, but:\n%.4000s\n", r->said,
                r->err);
    _fail(file, line);
}

void assert_contains_at(const char *text, const char *part, const char *file, int line)
{
    if (strstr(text, part))
        return;
    print_error("no '%s' in:\n%.8000s\n", part, text);
    _fail(file, line);
}

void assert_lacks_at(const char *text, const char *part, const char *file, int line)
{
    const char *at = strstr(text, part);
    if (!at)
        return;
    print_error("there should be no '%s', but at byte %zu of:\n%.8000s\n", part,
                (size_t)(at - text), text);
    _fail(file, line);
}
