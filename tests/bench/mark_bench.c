/* The last key of a chord to the mark durable and shown, in the real program on a terminal of 120 x
 * 40 cells, while a 1080p clip plays in the pane. A mark is shown only after its commit has been
 * synced, so what is measured is both. Beside it: keys that only draw, a bare synced commit on the
 * same disk, frames missed with and without marks, and the same on a line of 200 KB a second.
 *     mark_bench [MARKS]           milliseconds */
#include <setjmp.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "bench.h"
#include "clips.h"
#include "lib/run.h"
#include "lib/term.h"
#include "pane/pane.h"

enum {
    MARKS = 200,
    MARKS_MOST = 2000,
    SLOW_MARKS = 60,
    TIMES = 12,
    PERFORMERS = 8,
    SLOW = 200000,
    WINDOWS = 3
};

struct stage {
    struct term *t;
    sqlite3 *db;           /* another connection: what it sees was committed */
    sqlite3_stmt *version; /* changes when somebody else commits */
    /* frames as the transport row counts them */
    int row;
    long frame, first, seen;
    int speed; /* bytes a second, TERM_FULL_SPEED */
    double speed_set;
};

static void must(struct run r)
{
    assert_exit(r, 0);
}

static const char *new_show(void)
{
    const char *show = path_in(temp_dir(), "larkspur.show"), *roster = "performer,name,section\n";
    for (int i = 1; i <= PERFORMERS; i++)
        roster = arena_printf(test_arena(), "%sT%d,Player %d,trumpets\n", roster, i, i);
    must(run("boxcall", "new", show, "--title", "Larkspur", NULL));
    must(run_in(roster, "boxcall", "add", show, "roster", "-", NULL));
    must(run("boxcall", "add", show, "clip", clip_marching_long(TIMES), "--label", "run", "--date",
             "2026-09-14", NULL));
    return show;
}

/* --- what the screen says -------------------------------------------------------------------- */

static long frame_on(struct stage *s)
{
    const char *text = term_row(s->t, s->row), *f = strstr(text, "x f");
    return f ? strtol(f + 3, NULL, 10) : -1;
}

/* Counts the frames that came on the screen. Also keeps a slow line slow: what it did not carry
 * while there was nothing to carry is not made up for. */
static void look(struct stage *s)
{
    int col;
    if (s->row < 0 && !term_find(s->t, "x f", &s->row, &col))
        return;
    const long now = frame_on(s);
    if (now >= 0 && now != s->frame) {
        if (now < s->frame)
            s->first = now - 1 - s->seen; /* the clip began anew */
        s->seen += s->frame >= 0;
        s->frame = now;
    }
    if (s->speed && bench_now() > s->speed_set + 0.02) {
        term_speed(s->t, s->speed);
        s->speed_set = bench_now();
    }
}

struct wish {
    struct stage *s;
    const char *foot; /* in the last row */
    long frames;      /* or so many more on the screen */
};

static bool came_true(void *user)
{
    const struct wish *w = user;
    look(w->s);
    return w->foot ? strstr(term_row(w->s->t, -1), w->foot) != NULL : w->s->seen >= w->frames;
}

static void wait_frames(struct stage *s, long n)
{
    struct wish w = {.s = s, .frames = s->seen + n};
    term_wait_until(s->t, came_true, &w, "more frames");
}

static int version(struct stage *s)
{
    assert_int_equal(sqlite3_step(s->version), SQLITE_ROW);
    const int v = sqlite3_column_int(s->version, 0);
    sqlite3_reset(s->version);
    return v;
}

/* Milliseconds from the key to the text in the foot; *durable (unless NULL): to the commit. */
static double press(struct stage *s, const char *key, const char *text, double *durable)
{
    const struct timespec glance = {0, 200000};
    struct wish w = {.s = s, .foot = text};
    const int before = durable ? version(s) : 0;
    const double from = bench_now();
    bool shown = false, stored = !durable;
    double took = 0;
    term_send(s->t, key, 1);
    while (!shown || !stored) {
        const double now = (bench_now() - from) * 1e3;
        if (now > DEADLINE_MS)
            fail_msg("'%s' never came on the screen:\n%s", text, term_screen(s->t));
        if (!stored && version(s) != before) {
            stored = true;
            *durable = now;
        }
        if (!shown && came_true(&w)) {
            shown = true;
            took = now;
        }
        nanosleep(&glance, NULL);
        term_pump(s->t);
    }
    return took;
}

/* --- marks ------------------------------------------------------------------------------------ */

struct times {
    double open[MARKS_MOST], number[MARKS_MOST], durable[MARKS_MOST], shown[MARKS_MOST];
    size_t n;
};

/* One mark, "t 3 h". Where in a frame its keys fall is left to chance. */
static void mark(struct stage *s, struct times *t)
{
    const int who = 1 + (int)(t->n % PERFORMERS);
    char key[2] = {(char)('0' + who)}, typed[16], said[32];
    snprintf(typed, sizeof typed, "chord: t%d", who);
    snprintf(said, sizeof said, "T%d, horn angle", who);
    t->open[t->n] = press(s, "t", "chord: t", NULL);
    t->number[t->n] = press(s, key, typed, NULL);
    t->shown[t->n] = press(s, "h", said, &t->durable[t->n]);
    t->n++;
    term_forget_raw(s->t);
}

static void print(const char *what, double *v, size_t n)
{
    bench_sort(v, n);
    printf("%s: median %.2f ms, 90th %.2f, 99th %.2f, most %.2f\n", what, bench_part(v, n, 0.5),
           bench_part(v, n, 0.9), bench_part(v, n, 0.99), v[n - 1]);
}

static void print_times(const char *line, struct times *t)
{
    printf("%s, %zu marks:\n", line, t->n);
    print("  first key to the panel (draws only)", t->open, t->n);
    print("  number key to the panel (draws only)", t->number, t->n);
    print("  last key to the mark seen by another connection", t->durable, t->n);
    print("  last key to the mark durable and shown", t->shown, t->n);
}

/* The share of frames that never came on the screen since the counting began. */
static double missed(struct stage *s)
{
    const double passed = (double)(s->frame - s->first);
    return passed > 0 ? 1 - (double)s->seen / passed : 0;
}

static void count_anew(struct stage *s)
{
    wait_frames(s, 1);
    s->first = s->frame;
    s->seen = 0;
}

/* Windows without and with marks take turns, so that both meet the same machine. */
static void frames_and_marks(struct stage *s, struct times *t, size_t marks)
{
    double quiet[WINDOWS], busy[WINDOWS];
    for (size_t i = 0; i < WINDOWS; i++) {
        count_anew(s);
        wait_frames(s, 90);
        quiet[i] = missed(s);
        count_anew(s);
        while (t->n < marks * (i + 1) / WINDOWS) {
            mark(s, t);
            wait_frames(s, 2);
        }
        busy[i] = missed(s);
    }
    const double without = bench_median(quiet, WINDOWS), with = bench_median(busy, WINDOWS);
    printf("frames that never came on the screen: %.1f %% without marks, %.1f %% with\n",
           without * 100, with * 100);
    bench_at_most("frames missed because of marks", (with - without) * 100, 1, "%");
}

/* --- what the disk needs by itself ------------------------------------------------------------ */

static double bare_commit(sqlite3 *db)
{
    const double from = bench_now();
    assert_int_equal(sqlite3_exec(db, "INSERT INTO t VALUES(randomblob(200))", NULL, NULL, NULL),
                     SQLITE_OK);
    return (bench_now() - from) * 1e3;
}

static void disk(void)
{
    sqlite3 *db;
    static double t[MARKS];
    assert_int_equal(sqlite3_open(path_in(temp_dir(), "bare.db"), &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db,
                                  "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;"
                                  "CREATE TABLE t(x)",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    for (int i = 0; i < MARKS; i++)
        t[i] = bare_commit(db);
    print("bare synced commit of one row", t, MARKS);
    sqlite3_close(db);
}

/* --- the bench -------------------------------------------------------------------------------- */

static struct stage open_review(const char *show)
{
    const struct term_setup setup = {
        .rows = 40, .cols = 120, .env = (const char *const[]){"COLORTERM=truecolor", NULL}};
    struct stage s = {.row = -1, .frame = -1};
    assert_int_equal(sqlite3_open(show, &s.db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(s.db, "PRAGMA data_version", -1, &s.version, NULL),
                     SQLITE_OK);
    s.t = term_start(&setup, "boxcall", show, "--silent", "run", NULL);
    term_wait_text(s.t, "x f");
    term_keys(s.t, "Space");
    wait_frames(&s, 30);
    return s;
}

static void close_review(struct stage *s)
{
    term_speed(s->t, TERM_FULL_SPEED);
    term_keys(s->t, "Esc Ctrl-q");
    assert_int_equal(term_wait_exit(s->t), 0);
    term_close(s->t);
    sqlite3_finalize(s->version);
    sqlite3_close(s->db);
}

static int rows_in(sqlite3 *db)
{
    sqlite3_stmt *q;
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT count(*) FROM mark", -1, &q, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(q), SQLITE_ROW);
    const int n = sqlite3_column_int(q, 0);
    sqlite3_finalize(q);
    return n;
}

int main(int argc, char **argv)
{
    static struct times fast, slow;
    const size_t marks = argc > 1 ? (size_t)atoi(argv[1]) : MARKS;
    assert_in_range(marks, WINDOWS, MARKS_MOST);
    const char *show = new_show(); /* and the clip */
    bench_ahead();
    struct stage s = open_review(show);
    frames_and_marks(&s, &fast, marks);
    s.speed = SLOW;
    while (slow.n < SLOW_MARKS) {
        mark(&s, &slow);
        wait_frames(&s, 2);
    }
    const int rows = rows_in(s.db);
    close_review(&s);
    disk();
    print_times("a line at full speed", &fast);
    print_times("a line of 200 KB/s", &slow);
    bench_holds("every mark is in the file once", rows == (int)(fast.n + slow.n));
    bench_at_most("last key to durable and shown, median", bench_part(fast.shown, fast.n, 0.5), 10,
                  "ms");
    bench_at_most("last key to durable and shown, 99th", bench_part(fast.shown, fast.n, 0.99), 30,
                  "ms");
    printf("of this, drawing alone: median %.2f ms, 99th %.2f ms\n",
           bench_part(fast.number, fast.n, 0.5), bench_part(fast.number, fast.n, 0.99));
    bench_at_most("last key to durable on a slow line, 99th",
                  bench_part(slow.durable, slow.n, 0.99), 30, "ms");
    bench_at_most("last key to shown on a slow line, 99th, beyond what may be on the way (41 ms)",
                  bench_part(slow.shown, slow.n, 0.99) - 1e3 * PANE_FLIGHT / SLOW, 30, "ms");
    return bench_end();
}
