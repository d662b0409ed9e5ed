/* A clip with a million calls on the desk: until the review is drawn, what another program's mark
 * costs the person at the keys, and the memory of it. No terminal and no video: what is timed is
 * the show file, the lists and the drawing. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "bench.h"
#include "big_show.h"
#include "command/calls.h"
#include "command/calls.h"
#include "command/clip.h"
#include "command/session.h"
#include "command/tied.h"
#include "screen/draw.h"
#include "screen/screens.h"

enum { CALLS = 1000000, WRITES = 20 };

static void must(bool ok, const char *what)
{
    if (ok)
        return;
    fprintf(stderr, "%s\n", what);
    exit(1);
}

/* All marks of the season in its first clip. */
static void gather(const char *path)
{
    sqlite3 *db;
    must(sqlite3_open(path, &db) == SQLITE_OK &&
             sqlite3_exec(db,
                          "PRAGMA synchronous=OFF; UPDATE mark SET clip_id=1; UPDATE mark_target "
                          "SET clip_id=1; PRAGMA wal_checkpoint(TRUNCATE)",
                          NULL, NULL, NULL) == SQLITE_OK,
         "cannot gather the marks");
    sqlite3_close(db);
}

/* In a process of its own, whose memory goes with it. */
static void make_show(const char *path)
{
    int status = 1;
    pid_t pid = fork();
    if (pid == 0) {
        big_show(path, CALLS);
        gather(path);
        _exit(0);
    }
    must(pid > 0 && waitpid(pid, &status, 0) == pid && status == 0, "the show was not made");
}

static double resident_mb(void)
{
    long pages = 0, all;
    FILE *f = fopen("/proc/self/statm", "re");
    must(f && fscanf(f, "%ld %ld", &all, &pages) == 2, "no memory figures");
    fclose(f);
    return (double)pages * (double)sysconf(_SC_PAGESIZE) / 1e6;
}

static void draw(struct desk *d)
{
    struct canvas c = {.utf8 = true};
    canvas_size(&c, 40, 120);
    draw_desk(d, &c);
    canvas_free(&c);
}

/* The clip's file is not there; everything that the show file gives is. */
static void lay_out(struct desk *d)
{
    struct err e;
    d->clip = d->app->clips.at[0].id;
    d->play.length_us = d->app->clips.at[0].length_us;
    d->play.status = PLAYER_READY;
    must(map_read(d, &e) && calls_read(d, false, &e), e.text);
    draw(d);
}

static double turn(struct desk *d)
{
    double from = bench_now();
    desk_poll(d);
    draw(d);
    return bench_now() - from;
}

static double another_writes(struct app *other, struct desk *d, int i)
{
    struct err e;
    struct target all = {.section = other->show.root, .performer = -1};
    struct mark m = {.clip = d->clip,
                     .at_us = i * 1000,
                     .end_us = -1,
                     .severity = 1,
                     .set = -1,
                     .note = "",
                     .targets = &all,
                     .n_targets = 1};
    must(store_mark_add(other->store, &other->show, &m, &e), e.text);
    size_t before = calls_all(d);
    double worst = turn(d);
    while (calls_reading(d)) {
        double t = turn(d);
        worst = t > worst ? t : worst;
    }
    bench_holds("the other's mark is there", calls_all(d) == before + 1);
    return worst;
}

int main(void)
{
    char path[] = "/tmp/boxcall-calls-bench-XXXXXX.show";
    struct app app, other;
    struct desk d;
    struct err e;
    double turns[WRITES];
    int fd = mkstemps(path, 5);
    must(fd >= 0, "no room for the show file");
    close(fd);
    unlink(path);
    make_show(path);
    sync(); /* what making it left to the disk is not timed */
    const double memory = resident_mb(), from = bench_now();
    must(app_open(&app, path, &e) && desk_open(&d, &app, &review_tools, &e), e.text);
    lay_out(&d);
    const double opened = bench_now() - from;
    while (calls_reading(&d))
        turn(&d);
    const double whole = bench_now() - from, took = resident_mb() - memory;
    printf("%zu calls: all known after %.2f s\n", calls_all(&d), whole);
    bench_at_most("from opening to the drawn review", opened, 0.5, "s");
    bench_at_most("memory of it", took, 60, "MB");
    must(app_open(&other, path, &e), e.text);
    for (int i = 0; i < WRITES; i++)
        turns[i] = another_writes(&other, &d, i);
    bench_sort(turns, WRITES);
    bench_at_most("longest turn after another's mark, median", 1e3 * bench_part(turns, WRITES, 0.5),
                  50, "ms");
    app_close(&other);
    desk_close(&d);
    app_close(&app);
    static const char *const endings[] = {"", "-wal", "-shm"};
    for (int i = 0; i < 3; i++) {
        char name[80];
        snprintf(name, sizeof name, "%s%s", path, endings[i]);
        unlink(name);
    }
    return bench_end();
}
