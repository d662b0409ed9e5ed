/* Work that takes long tells how far it is, line by line where there is no terminal, and ends by
 * itself when it is interrupted, with nothing half done. */
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "lib/run.h"

static const char *dir;
static struct run_setup in_dir;

static struct run sh(const char *line)
{
    return run_with(&in_dir, "sh", "-c", line, NULL);
}

static void must(struct run r)
{
    assert_exit(r, 0);
}

/* A clip of 300 MB, of which a few hundred kB are a clip, and one of three minutes of sound. */
static int make(void **state)
{
    (void)state;
    in_dir.dir = dir = temp_dir();
    must(sh("ffmpeg -nostdin -v error -f lavfi -i testsrc2=s=64x36:r=5 -f lavfi -i "
            "\"aevalsrc=lt(mod(t\\,0.5)\\,0.02)*sin(6283*t):s=44100\" -t 180 -c:v libx264 -preset "
            "ultrafast -pix_fmt yuv420p -c:a aac "
            "long.mp4 && cp long.mp4 large.mp4 && truncate -s 300M large.mp4"));
    must(run_with(&in_dir, "boxcall", "new", "s.show", NULL));
    must(run_with(&in_dir, "boxcall", "add", "s.show", "clip", "long.mp4", NULL));
    return 0;
}

static const struct work {
    const char *name, *words[6], *tells, *stopped;
} works[] = {
    {"reading a large clip",
     {"add", "s.show", "clip", "large.mp4"},
     "reading the clip: ",
     "stopped; nothing was added"},
    {"listening to a long one",
     {"count", "s.show", "long", "beats"},
     "listening: ",
     "stopped listening"},
};

static const char *said(void)
{
    const char *path = path_in(dir, "said");
    return access(path, F_OK) == 0 ? read_file(path, NULL) : "";
}

static pid_t start(const struct work *w)
{
    const pid_t child = fork();
    if (child == 0) {
        const int err = chdir(dir) == 0 ? open("said", O_WRONLY | O_CREAT | O_TRUNC, 0666) : -1,
                  out = open("/dev/null", O_WRONLY);
        if (err < 0 || out < 0 || dup2(err, 2) < 0 || dup2(out, 1) < 0)
            _exit(99);
        execl(getenv("BOXCALL"), "boxcall", w->words[0], w->words[1], w->words[2], w->words[3],
              (char *)NULL);
        _exit(98);
    }
    return child;
}

static const char *rows(void)
{
    return run_with(&in_dir, "boxcall", "check", "s.show", NULL).out;
}

static void is_told_and_can_be_stopped(void **state)
{
    const struct work *w = *state;
    const char *before = rows();
    int status = 0;
    unlink(path_in(dir, "said"));
    const pid_t child = start(w);
    while (!strstr(said(), w->tells) && waitpid(child, &status, WNOHANG) == 0)
        usleep(1000);
    assert_contains(said(), w->tells);
    kill(child, SIGINT);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 1);
    assert_contains(said(), w->stopped);
    assert_string_equal(rows(), before);
}

static void undisturbed_it_tells_all_of_it(void **state)
{
    const struct work *w = *state;
    int status;
    const pid_t child = start(w);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    for (int part = 25; part < 100; part += 25) {
        int seen = 0;
        for (const char *s = said(); (s = strstr(s, w->tells)); s++)
            seen |= atoi(s + strlen(w->tells)) / 25 == part / 25;
        assert_true(seen);
    }
}

/* What is done at once says nothing of how far it is. */
static void short_work_is_silent(void **state)
{
    (void)state;
    struct run r = run_with(&in_dir, "boxcall", "add", "s.show", "clip", "long.mp4", NULL);
    assert_exit(r, 0);
    assert_lacks(r.err, "%");
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, works, is_told_and_can_be_stopped);
    cases_of(&all, works, undisturbed_it_tells_all_of_it);
    case_test(&all, short_work_is_silent);
    return _cmocka_run_group_tests("long work", all.at, all.n, make, NULL);
}
