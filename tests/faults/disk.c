#include "faults/disk.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sqlite3.h>

#include "base/buf.h"
#include "faults/shim.h"

#ifdef __SANITIZE_ADDRESS__
enum { OF_A_KIND = 2 };
#else
enum { OF_A_KIND = 4 };
#endif

static const struct fault {
    const char *kind, *error;
    bool stays;
} faults[] = {
    {"write", "ENOSPC", false}, {"write", "ENOSPC", true}, {"write", "EIO", false},
    {"sync", "EIO", false},     {"sync", "EIO", true},     {"read", "EIO", false},
    {"read", "EIO", true},      {"open", "EMFILE", false}, {"open", "EACCES", true},
    {"size", "ENOSPC", false},  {"size", "EIO", true},     {"rename", "EIO", false},
    {"unlink", "EIO", false},   {"unlink", "EROFS", true}, {"map", "ENOMEM", false},
};

/* --- a season with something in every table -------------------------------------------------- */

static struct season s;
static const char *show; /* its bytes */
static size_t show_n;

static void must(struct run r)
{
    assert_exit(r, 0);
}

static const char *const env_usual[] = {"BOXCALL_CLOCK=1788350400000", NULL};

/* The child of a trial leaves without unloading the many libraries it never used, and under the
 * sanitizers without looking for leaks: both take many times as long as the verb. */
static pid_t mother;

static void leave(int status, void *unused)
{
    (void)unused;
    if (getpid() == mother)
        return;
    fflush(NULL);
    faults_tell_counts();
    _exit(status);
}

static void make_season(void)
{
    if (show)
        return;
    mother = getpid();
    on_exit(leave, NULL);
    s = season_new();
    s.setup.env = env_usual;
    season_clip(&s, "wed.avi", 6000, 3); /* more than one read takes */
    write_file(s.dir, "sections.csv",
               "section,parent,key\nensemble,,e\nwinds,ensemble,w\nbrass,winds,b\n"
               "trumpets,brass,t\ntubas,brass,u\ndrums,ensemble,d\nguard,ensemble,g\n");
    write_file(s.dir, "roster.csv",
               "performer,name,section\nT1,Ada Fenwright,trumpets\nT2,Milo Tarrasch,trumpets\n"
               "T9,Wim Osgood,trumpets\nU1,Pia Lindqvale,tubas\n");
    write_file(s.dir, "faults.csv", "fault,key\nlate arrival,l\nhorn angle,h\nrushing,r\n");
    write_file(s.dir, "sets.csv", "set,counts,tempo\n1,8,140\n2,16,132\n12A,16,132\n13,8,132\n");
    write_file(s.dir, "song.xml",
               "<score-partwise><part><measure number=\"1\"><attributes><time><beats>4</beats>"
               "<beat-type>4</beat-type></time></attributes><sound tempo=\"132\"/></measure>"
               "</part></score-partwise>");
    write_file(s.dir, "dots.csv", "performer,set,x,y\nT1,1,0,28\nT1,2,4,30\nT2,1,2,28\n");
    write_file(s.dir, "marks.csv",
               "clip,time,target,fault\ntue,5,T1,h\ntue,6,T2,late\nthu,7,U1,f\n");
    write_file(s.dir, "taps.txt", "20.000\n20.455\n20.909\n21.364\n21.818\n22.273\n");
    struct run_setup dots = season_in(&s, "performer,set,x,y\nT1,1,1,28\nU1,2,8,40\n");
    must(box(&dots, "add", "a.show", "dots", "-", NULL));
    must(BOX(&s, "count", "a.show", "tue", "tie", "10", "1"));
    must(BOX(&s, "count", "a.show", "tue", "tie", "13.6", "2"));
    must(BOX(&s, "mark", "a.show", "tue", "11", "T1", "late", "--note", "bells"));
    must(BOX(&s, "mark", "a.show", "tue", "12", "T2;U1", "h", "--severity", "3"));
    must(BOX(&s, "mark", "a.show", "thu", "12", "brass", "style"));
    must(BOX(&s, "watched", "a.show", "tue", "0", "60"));
    must(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", "2026-09-04"));
    show = read_file(path_in(s.dir, "a.show"), &show_n);
}

static void set_out(void)
{
    static const char *const endings[] = {"",    "-wal", "-shm", "-journal",
                                          ".v1", ".v2",  ".v3",  ".v4"};
    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++) {
        unlink(arena_printf(test_arena(), "%s/a.show%s", s.dir, endings[i]));
        unlink(arena_printf(test_arena(), "%s/b.show%s", s.dir, endings[i]));
    }
    write_bytes(s.dir, "a.show", show, show_n);
}

/* --- what is in a show file ------------------------------------------------------------------ */

static bool is_kept(const char *column)
{
    static const char *const others[] = {"uid", "made_at", "changed_at", "removed_at", "changes"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (strcmp(column, others[i]) == 0)
            return false;
    return true;
}

static void dump_rows(sqlite3 *db, const char *table, struct buf *out)
{
    sqlite3_stmt *q = NULL;
    char sql[200];
    snprintf(sql, sizeof sql, "SELECT * FROM \"%s\"", table);
    if (sqlite3_prepare_v2(db, sql, -1, &q, NULL) != SQLITE_OK)
        buf_printf(out, "%s: %s\n", table, sqlite3_errmsg(db));
    while (q && sqlite3_step(q) == SQLITE_ROW) {
        buf_printf(out, "%s:", table);
        for (int i = 0; i < sqlite3_column_count(q); i++)
            if (is_kept(sqlite3_column_name(q, i)))
                buf_printf(out, " %s",
                           sqlite3_column_text(q, i) ? (const char *)sqlite3_column_text(q, i)
                                                     : "-");
        buf_char(out, '\n');
    }
    sqlite3_finalize(q);
}

/* All tables as text, without what is new at every run; the first complaint of SQLite's check
 * instead when there is one, "none" when there is no file. */
static const char *dump(const char *name)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *q = NULL;
    struct buf out = {0};
    const char *path = path_in(s.dir, name);
    if (access(path, F_OK) != 0)
        return "none";
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK &&
        sqlite3_prepare_v2(db, "PRAGMA integrity_check(1)", -1, &q, NULL) == SQLITE_OK &&
        sqlite3_step(q) == SQLITE_ROW &&
        strcmp((const char *)sqlite3_column_text(q, 0), "ok") == 0) {
        sqlite3_finalize(q);
        sqlite3_prepare_v2(db,
                           "SELECT name FROM sqlite_master WHERE type='table' AND name NOT LIKE "
                           "'sqlite_%' ORDER BY name",
                           -1, &q, NULL);
        while (sqlite3_step(q) == SQLITE_ROW)
            dump_rows(db, (const char *)sqlite3_column_text(q, 0), &out);
    } else {
        buf_printf(&out, "damaged: %s", sqlite3_errmsg(db));
    }
    sqlite3_finalize(q);
    sqlite3_close(db);
    const char *kept = arena_strdup(test_arena(), buf_text(&out));
    buf_free(&out);
    return kept;
}

/* --- complaints ------------------------------------------------------------------------------ */

static struct {
    const struct trial *trial;
    const struct known *known;
    size_t n_known;
    bool seen[32];
    size_t new_ones, runs;
} now;

static bool is_about(const struct known *k, const struct trial *t)
{
    return !*k->trial || strcmp(k->trial, t->name) == 0;
}

static void complain(const char *fault, const char *what, const char *more)
{
    for (size_t i = 0; i < now.n_known; i++) {
        const struct known *k = &now.known[i];
        if (is_about(k, now.trial) && strncmp(fault, k->kind, strlen(k->kind)) == 0 &&
            strncmp(what, k->what, strlen(k->what)) == 0) {
            now.seen[i] = true;
            return;
        }
    }
    if (now.new_ones++ < 60)
        print_error("%s, BOXCALL_FAULT=%s: %s%s%.*s\n", now.trial->name, fault, what,
                    *more ? ": " : "", (int)strcspn(more, "\n"), more);
}

/* --- one run --------------------------------------------------------------------------------- */

static struct run run_with_env(const struct trial *t, const char *const *env)
{
    struct run_setup setup = s.setup;
    setup.env = env;
    const char *const *a = t->args;
    return box(&setup, a[0], a[1], a[2], a[3], a[4], a[5], a[6], a[7], a[8], a[9], a[10], a[11],
               NULL);
}

static struct run run_with_fault(const struct trial *t, const char *fault)
{
    const char *const env[] = {env_usual[0], arena_printf(test_arena(), "BOXCALL_FAULT=%s", fault),
                               NULL};
    return run_with_env(t, env);
}

static void check_line(const struct run *r, const char *fault, bool changed)
{
    const char *end = strchr(r->err, '\n');
    if (strncmp(r->err, "boxcall: ", 9) != 0 || !end || end[1])
        complain(fault, "it does not say one line", r->err);
    else if (!strstr(r->err, ".show") && !strstr(r->err, ".csv") && !strstr(r->err, ".xml") &&
             !strstr(r->err, ".avi") && !strstr(r->err, ".txt"))
        complain(fault, "the line names no file", r->err);
    if (changed && (strstr(r->err, "not saved") || strstr(r->err, "nothing was saved")))
        complain(fault, "'not saved', but it was", r->err);
    if (now.trial->reads && (strstr(r->err, "not saved") || strstr(r->err, "nothing was saved")))
        complain(fault, "'not saved' where nothing was to be", r->err);
    if (r->out_n)
        complain(fault, "it failed, and still printed", r->out);
}

static void check_next(const char *fault)
{
    const char *name = now.trial->makes ? "b.show" : "a.show";
    struct run r = now.trial->makes ? run_with_env(now.trial, env_usual)
                                    : BOX(&s, "mark", name, "tue", "33", "T1", "h");
    if (r.status != 0)
        complain(fault, "the next writer is refused", r.err);
}

static void one(const struct fault *f, long n, const char *before, const char *after,
                const struct run *whole)
{
    const struct trial *t = now.trial;
    const char *fault =
        arena_printf(test_arena(), "%s:%ld%s:%s", f->kind, n, f->stays ? "+" : "", f->error);
    set_out();
    struct run r = run_with_fault(t, fault);
    now.runs++;
    const char *found = dump(t->makes ? "b.show" : "a.show");
    bool is_after = strcmp(found, after) == 0, is_before = strcmp(found, before) == 0;
    if (r.status < 0)
        complain(fault, r.status == -14 ? "it hangs" : "it crashes",
                 arena_printf(test_arena(), "signal %d", -r.status));
    if (strncmp(found, "damaged", 7) == 0)
        complain(fault, "the show is damaged", found);
    else if (!is_before && !is_after)
        complain(fault,
                 r.status == 0 ? "exit status 0, and it is not what was asked"
                               : "the show is changed by half",
                 r.err);
    if (r.status == 0 && is_before && !is_after)
        complain(fault, "exit status 0, and nothing was saved", r.err);
    if (r.status == 0 && strcmp(r.out, whole->out) != 0)
        complain(fault, "exit status 0, and another output", r.out);
    if (r.status > 0)
        check_line(&r, fault, is_after && !is_before);
    if (t->makes ? r.status > 0 : now.runs % 3 == 0) /* takes as long as the run itself */
        check_next(fault);
}

/* How many calls of each kind the verb makes. */
static long calls(const struct trial *t, const char *kind)
{
    static const struct trial *counted;
    static const char *counts;
    if (counted != t) {
        const char *file = path_in(s.dir, "counts");
        const char *const env[] = {
            env_usual[0], arena_printf(test_arena(), "BOXCALL_FAULT_COUNT=%s", file), NULL};
        set_out();
        run_with_env(t, env);
        counts = read_file(file, NULL);
        counted = t;
    }
    const char *at = strstr(counts, arena_printf(test_arena(), "%s ", kind));
    assert_non_null(at);
    return strtol(at + strlen(kind), NULL, 10);
}

/* At how many of the n calls the fault is tried. */
static long tried(const struct trial *t, const struct fault *f, long n)
{
    bool each = getenv("FAULTS_ALL") || (t->each && strcmp(t->each, f->kind) == 0 && !f->stays);
    return n < OF_A_KIND || each ? n : OF_A_KIND;
}

void disk_try(const struct trial *t, const struct known *known, size_t n_known)
{
    make_season();
    memset(&now, 0, sizeof now);
    now.trial = t;
    now.known = known;
    now.n_known = n_known;
    assert_true(n_known <= sizeof now.seen / sizeof *now.seen);
    set_out();
    const char *name = t->makes ? "b.show" : "a.show", *before = dump(name);
    struct run whole = run_with_env(t, env_usual);
    assert_exit(whole, 0);
    const char *after = dump(name);
    assert_int_equal(strcmp(before, after) == 0, t->reads);
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        long n = calls(t, faults[i].kind), most = tried(t, &faults[i], n);
        for (long k = 0; k < most; k++)
            one(&faults[i], 1 + k * n / most, before, after, &whole);
    }
    print_message("%s: %zu runs\n", t->name, now.runs);
    for (size_t i = 0; i < n_known; i++)
        if (is_about(&known[i], t) && !now.seen[i]) {
            print_error("%s: '%s' (%s) is known, but holds now; take it from the table\n", t->name,
                        known[i].what, known[i].kind);
            now.new_ones++;
        }
    if (now.new_ones)
        fail_msg("%zu complaints", now.new_ones);
}
