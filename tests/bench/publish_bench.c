/* A web folder of 40 clips that are not there (so no pictures), with 500 and with 5,000 marks: CPU
 * time and peak of memory of the program, beside the fix lists of the same sections as JSON, which is
 * what the pages say. */
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/arena.h"
#include "bench.h"
#include "big_show.h"
#include "lib/files.h"
#include "lib/run.h"

enum { FEW = 500, MANY = 5000, ROUNDS = 5 };

struct cost {
    double cpu_s, wall_s, mb;
};

/* A shell line, with what it and its programs took. */
static struct cost cost_of(const char *line)
{
    const double from = bench_now();
    const pid_t child = fork();
    if (child == 0) {
        execl("/bin/sh", "sh", "-c", line, (char *)NULL);
        _exit(127);
    }
    struct rusage used;
    int status;
    if (wait4(child, &status, 0, &used) != child || status != 0) {
        fprintf(stderr, "%s: ended with %d\n", line, status);
        exit(1);
    }
    return (struct cost){(double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
                             (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec) / 1e6,
                         bench_now() - from, (double)used.ru_maxrss / 1024};
}

static const char *publishing(const char *show, const char *folder)
{
    return arena_printf(test_arena(), "exec \"$BOXCALL\" publish %s %s >/dev/null 2>&1", show,
                        folder);
}

int main(void)
{
    const char *dir = temp_dir(), *few = path_in(dir, "few.show"),
               *many = path_in(dir, "many.show"), *names = path_in(dir, "names");
    double first[ROUNDS], again[ROUNDS], lists[ROUNDS];
    struct cost small = {0}, large = {0}, same = {0};
    big_show(few, FEW);
    big_show(many, MANY);
    cost_of(arena_printf(test_arena(), "cut -d, -f1 %s/sections.csv | tail -n +2 | tr -d '\"' >%s",
                         DEMO_BAND, names));
    for (int i = 0; i < ROUNDS; i++) {
        const char *web = path_in(dir, arena_printf(test_arena(), "web%d", i));
        lists[i] =
            cost_of(arena_printf(test_arena(),
                                 "while read -r name; do \"$BOXCALL\" fixes %s --for \"$name\" "
                                 "--as json; done <%s >/dev/null",
                                 many, names))
                .cpu_s;
        large = cost_of(publishing(many, web));
        same = cost_of(publishing(many, web));
        first[i] = large.cpu_s;
        again[i] = same.cpu_s;
        small = cost_of(publishing(few, path_in(dir, arena_printf(test_arena(), "few%d", i))));
    }
    printf(
        "%d marks: published in %.2f s, again in %.3f s; %.1f MB with %d marks, %.1f MB with %d\n",
        MANY, large.wall_s, same.wall_s, small.mb, FEW, large.mb, MANY);
    bench_at_most("publishing / the same lists as JSON, one by one",
                  bench_ratio(first, lists, ROUNDS), 1, "");
    bench_at_most("again with nothing changed / publishing", bench_ratio(again, first, ROUNDS), 0.2,
                  "");
    bench_at_most("memory with ten times the marks, times", large.mb / small.mb, 2, "");
    return bench_end();
}
