/* The program itself on a full disk, killed, and several at once. */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "verb/season.h"

static size_t marks_in(const struct season *s)
{
    return json_array_size(json_out(BOX(s, "calls", "a.show", "tue", "--as", "json")));
}

static const struct full {
    const char *name;
    const char *args[8];
} fulls[] = {
    {"a mark", {"mark", "a.show", "tue", "5", "T1", "h"}},
    {"a table of marks", {"add", "a.show", "marks", "marks.csv"}},
    {"a roster", {"add", "a.show", "roster", "roster.csv"}},
    {"a clip", {"add", "a.show", "clip", "wed.avi"}},
};

static void on_a_full_disk_says_one_line_and_loses_nothing(void **state)
{
    const struct full *f = *state;
    struct season s = season_new();
    season_clip(&s, "wed.avi", 30, 3);
    write_file(s.dir, "marks.csv", "clip,time,target,fault\ntue,5,T1,h\ntue,6,T2,late\n");
    write_file(s.dir, "roster.csv", "performer,section\nT1,trumpets\nT9,tubas\n");
    ends(BOX(&s, "mark", "a.show", "tue", "4", "T1", "late"), 0);
    struct run before = BOX(&s, "check", "a.show");
    struct stat st;
    assert_int_equal(stat(path_in(s.dir, "a.show"), &st), 0);
    static const size_t limits[] = {1, 20000, 0};
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
        struct season full = s;
        full.setup.file_limit = limits[i] ? limits[i] : (size_t)st.st_size / 2;
        struct run r = box(&full.setup, f->args[0], f->args[1], f->args[2], f->args[3], f->args[4],
                           f->args[5], NULL);
        if (r.status == 0)
            break; /* it fitted after all */
        assert_exit(r, 1);
        assert_string_equal(r.out, "");
        if (limits[i] > 1)
            assert_contains(r.err, "a.show: ");
        if (limits[i] > 1 && strchr(r.err, '\n')[1])
            fail_msg("more than a line: %s", r.err);
        assert_int_equal(marks_in(&s), 1);
        assert_string_equal(BOX(&s, "check", "a.show").out, before.out);
    }
    ends(
        box(&s.setup, f->args[0], f->args[1], f->args[2], f->args[3], f->args[4], f->args[5], NULL),
        0);
}

/* What the program said before it died is on the disk. */
static void killed_at_any_moment_it_keeps_every_mark_it_told(void **state)
{
    (void)state;
    enum { ROUNDS = 16 };
    struct season s = season_new();
    size_t told = 1, killed = 0;
    unsigned chance = 41;
    if (!have_program("timeout"))
        skip();
    long long start = now_ms();
    struct run whole =
        run_with(&s.setup, "boxcall", "mark", "a.show", "tue", "59", "T1", "h", NULL);
    assert_exit(whole, 0);
    unsigned takes_ms = (unsigned)(now_ms() - start);
    for (int i = 1; i < ROUNDS; i++) {
        chance = chance * 1103515245u + 12345u;
        unsigned ms = takes_ms / 2 + (chance >> 16) % (takes_ms + 1);
        const char *after = arena_printf(test_arena(), "%u.%03u", ms / 1000, ms % 1000);
        struct run r =
            run_with(&s.setup, "timeout", "-s", "KILL", after, program_path("boxcall"), "mark",
                     "a.show", "tue", arena_printf(test_arena(), "%d", i), "T1", "h", NULL);
        killed += r.status != 0;
        told += strncmp(r.err, "mark ", 5) == 0;
    }
    size_t there = marks_in(&s);
    print_message("%zu of %d killed, %zu marks told, %zu there\n", killed, ROUNDS, told, there);
    assert_in_range(there, told, ROUNDS);
    assert_true(told + killed >= ROUNDS); /* who was not killed has told */
    ends(BOX(&s, "check", "a.show"), 0);
}

static void eight_at_once_all_make_their_mark(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = run_with(&s.setup, "sh", "-c",
                            "for i in 1 2 3 4 5 6 7 8; do \"$0\" mark a.show tue $i T1 h & done; "
                            "wait",
                            program_path("boxcall"), NULL);
    assert_exit(r, 0);
    assert_int_equal(marks_in(&s), 8);
    ends(BOX(&s, "check", "a.show"), 0);
}

static const struct damage {
    const char *name;
    long keep; /* bytes of the file; negative: so many are cut off */
    const char *said;
} damages[] = {
    {"an empty file", 0, "a.show: the file is empty, not a show file"},
    {"ten bytes of it", 10, "a.show: is not a show file; name the file that 'boxcall new' made"},
    {"its first page", 4096, NULL},
    {"all but its last page", -4096, NULL},
    {"all but its last byte", -1, NULL},
};

static void is_refused_with_exit_4_and_stays_as_it_is(void **state)
{
    const struct damage *d = *state;
    struct season s = season_new();
    size_t n, m;
    char *whole = read_file(path_in(s.dir, "a.show"), &n);
    n = d->keep < 0 ? n - (size_t)-d->keep : (size_t)d->keep;
    write_bytes(s.dir, "a.show", whole, n);
    static const char *const verbs[][6] = {{"fixes", "a.show"},
                                           {"mark", "a.show", "tue", "5", "T1", "h"},
                                           {"check", "a.show"},
                                           {"a.show"}};
    for (size_t i = 0; i < 4; i++) {
        struct run r = box(&s.setup, verbs[i][0], verbs[i][1], verbs[i][2], verbs[i][3],
                           verbs[i][4], verbs[i][5], NULL);
        assert_exit(r, 4);
        assert_contains(r.err, d->said ? d->said : "the show file is damaged");
        assert_false(strchr(r.err, '\n')[1]);
        char *after = read_file(path_in(s.dir, "a.show"), &m);
        assert_true(n == m && memcmp(whole, after, n) == 0);
        assert_int_equal(access(path_in(s.dir, "a.show-wal"), F_OK), -1);
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, fulls, on_a_full_disk_says_one_line_and_loses_nothing);
    case_test(&all, killed_at_any_moment_it_keeps_every_mark_it_told);
    case_test(&all, eight_at_once_all_make_their_mark);
    cases_of(&all, damages, is_refused_with_exit_4_and_stays_as_it_is);
    return cases_run(&all, "disks and damage");
}
