/* Fix lists from a season of 1,000,000 marks in 40 clips, beside what SQLite itself needs for the
 * bare figures of the same file, and how much memory they take.
 *     fixes_bench          CPU seconds, medians of interleaved repetitions
 *     fixes_bench SHOW     one list of the ensemble, and its peak of memory in kB */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "bench.h"
#include "big_show.h"
#include "lib/files.h"
#include "lib/run.h"

enum { MARKS = 1000000, FEW = 100000, ROUNDS = 7 };

/* The columns a ranking needs, over live targets (a removed mark has none). */
static const char ranking[] =
    "SELECT section_id,fault_id,count(*),count(DISTINCT clip_id),max(severity),max(at_us) "
    "FROM mark_target GROUP BY section_id,fault_id";
/* The same with what the printed rule asks for: praise apart, and only marks not yet clean counted.
 */
static const char by_rule[] =
    "SELECT section_id,fault_id,praise,sum(state<>2),count(DISTINCT clip_id),max(severity),"
    "max(at_us) FROM mark_target GROUP BY section_id,fault_id,praise";
static const char counting[] =
    "SELECT section_id,fault_id,count(*) FROM mark_target GROUP BY section_id,fault_id";

static void must(bool ok, const char *why)
{
    if (ok)
        return;
    fprintf(stderr, "%s\n", why);
    exit(1);
}

static double query(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *q;
    const double from = bench_cpu();
    must(sqlite3_prepare_v2(db, sql, -1, &q, NULL) == SQLITE_OK, sqlite3_errmsg(db));
    while (sqlite3_step(q) == SQLITE_ROW)
        ;
    sqlite3_finalize(q);
    return bench_cpu() - from;
}

/* --- ranked lists alone: rows and their ranking --------------------------------------------- */

static bool feed(void *ctx, const struct seen_row *row)
{
    rank_feed(ctx, &(struct rank_row){
                       .section = row->section,
                       .performer = row->performer,
                       .fault = row->fault,
                       .set = row->set,
                       .praise = row->praise,
                       .clip = (size_t)row->clip - 1,
                       .at_us = row->at_us,
                       .severity = row->severity,
                       .state = row->state,
                       .cause = row->cause,
                       .again = row->again,
                   });
    return true;
}

static long marks_in(const struct rank_item *items, size_t n)
{
    long marks = 0;
    for (size_t i = 0; i < n; i++)
        marks += items[i].marks + items[i].clean;
    return marks;
}

static long marks_of(const struct rank_list *l)
{
    return marks_in(l->items, l->n_items) + marks_in(l->keep, l->n_keep);
}

static double ranked_lists(struct app *app, long *marks)
{
    const double from = bench_cpu();
    *marks = 0;
    for (int i = 0; i < (int)app->show.n_sections; i++) {
        const struct seen_choice own = {.sections = &i, .n_sections = 1, .performer = -1};
        struct rank_fold *fold = rank_begin(&app->show, (struct rank_clips){BIG_CLIPS, NULL});
        struct arena memory = {0};
        struct err e;
        must(store_each_seen(app->store, &own, feed, fold, &e), e.text);
        const struct rank_list l = rank_end(fold, RANK_FREQUENCY, &memory);
        *marks += marks_of(&l);
        arena_free(&memory);
    }
    return bench_cpu() - from;
}

/* --- whole fix lists, as the program shows them: with rates, intervals and brackets ----------- */

static long fixes(struct app *app, const char *whom)
{
    const struct fix_choice choice = {.for_whom = whom};
    struct arena memory = {0};
    struct fix_report r;
    struct err e;
    must(app_fixes(app, &choice, &memory, &r, &e), e.text);
    const long marks = marks_of(&r.own.list);
    arena_free(&memory);
    return marks;
}

/* A section's list holds those below it and what was said of the groups above. */
static double every_section(struct app *app, long *marks)
{
    const double from = bench_cpu();
    *marks = 0;
    for (size_t i = 0; i < app->show.n_sections; i++)
        *marks += fixes(app, app->show.sections[i].name);
    return bench_cpu() - from;
}

static double ensemble(struct app *app, long *marks)
{
    const double from = bench_cpu();
    *marks = fixes(app, NULL);
    return bench_cpu() - from;
}

/* --- figures ---------------------------------------------------------------------------------- */

enum what { COUNTING, RANKING, BY_RULE, RANKED, ENSEMBLE, TREE, WHATS };

static const char *const what_text[WHATS] = {
    [COUNTING] = "query: count(*) alone",
    [RANKING] = "query: the ranking columns",
    [BY_RULE] = "query: the ranking columns, praise apart, clean marks not counted",
    [RANKED] = "every section's marks, ranked",
    [ENSEMBLE] = "one fix list of the ensemble",
    [TREE] = "every section's fix list with those below and the groups above",
};

static void report(double t[WHATS][ROUNDS], const long marks[WHATS])
{
    double part[WHATS], of_count[WHATS];
    for (int k = 0; k < WHATS; k++) {
        part[k] = bench_ratio(t[k], t[RANKING], ROUNDS);
        of_count[k] = bench_ratio(t[k], t[COUNTING], ROUNDS);
    }
    for (int k = 0; k < WHATS; k++) {
        printf("%s: %.3f CPU s, %.2f of the bare query, %.2f of count(*) alone", what_text[k],
               bench_median(t[k], ROUNDS), part[k], of_count[k]);
        printf(marks[k] ? ", %ld marks\n" : "\n", marks[k]);
    }
    bench_at_most("every section ranked / bare query", part[RANKED], 1.25, "");
    bench_at_most("the ensemble's list with intervals and brackets / bare query", part[ENSEMBLE],
                  1.5, "");
    bench_holds("the ensemble's list has every mark once", marks[ENSEMBLE] == MARKS);
}

static void times(const char *path)
{
    struct app app;
    struct err e;
    sqlite3 *db;
    static double t[WHATS][ROUNDS];
    long marks[WHATS] = {0};
    must(app_open(&app, path, &e), e.text);
    must(sqlite3_open(path, &db) == SQLITE_OK, "the file cannot be opened");
    for (int i = 0; i < ROUNDS; i++) {
        t[COUNTING][i] = query(db, counting);
        t[RANKED][i] = ranked_lists(&app, &marks[RANKED]);
        t[RANKING][i] = query(db, ranking);
        t[ENSEMBLE][i] = ensemble(&app, &marks[ENSEMBLE]);
        t[BY_RULE][i] = query(db, by_rule);
        /* Four times the rows: once, no target hangs on it. */
        t[TREE][i] = i ? t[TREE][0] : every_section(&app, &marks[TREE]);
    }
    report(t, marks);
    sqlite3_close(db);
    app_close(&app);
}

/* VmHWM of this process: the most memory that ever was resident. */
static long peak_kb(void)
{
    char line[200];
    long kb = 0;
    FILE *f = fopen("/proc/self/status", "re");
    while (f && fgets(line, sizeof line, f))
        if (sscanf(line, "VmHWM: %ld", &kb) == 1)
            break;
    if (f)
        fclose(f);
    return kb;
}

static int one_list(const char *path)
{
    struct app app;
    struct err e;
    must(app_open(&app, path, &e), e.text);
    fixes(&app, NULL);
    app_close(&app);
    printf("%ld\n", peak_kb());
    return 0;
}

static double memory_mb(const char *path)
{
    const struct run r = run("/proc/self/exe", path, NULL);
    must(r.status == 0, r.err);
    return atof(r.out) / 1024;
}

int main(int argc, char **argv)
{
    if (argc > 1)
        return one_list(argv[1]);
    const char *dir = temp_dir(), *few = path_in(dir, "few.show"), *all = path_in(dir, "all.show");
    const double from = bench_now();
    big_show(few, FEW);
    big_show(all, MARKS);
    printf("files with %d and %d marks made in %.1f s\n", FEW, MARKS, bench_now() - from);
    times(all);
    const double little = memory_mb(few), much = memory_mb(all);
    printf("memory: %.1f MB with %d marks, %.1f MB with %d\n", little, FEW, much, MARKS);
    bench_at_most("memory with ten times the marks, more", much - little, 1, "MB");
    return bench_end();
}
