/* Which files are opened, which are refused, and that a refused one is left as it was. */
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lib/cases.h"
#include "store/season.h"

/* --- what was put in comes out --------------------------------------------------------------- */

static void a_show_opened_again_is_the_show_that_was_closed(void **state)
{
    (void)state;
    struct season s = season_new();
    add_mark(&s, "T1;tubas", "late", 5200000);
    season_close(&s);
    season_open(&s);
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.n, 1);
    assert_int_equal(l.at[0].at_us, 5200000);
    assert_string_equal(store_setting(s.store, test_arena(), "title"), "Larkspur");
    assert_string_equal(l.at[0].author, "D. Whitlow");
    OK(&s, store_check(s.store, &s.e));
    season_close(&s);
}

static void a_closed_show_is_one_file(void **state)
{
    (void)state;
    const char *dir = temp_dir();
    struct season s = {.path = path_in(dir, "a.show")};
    OK(&s, store_create(s.path, "A", "college", &s.store, &s.e));
    season_load(&s);
    assert_true(s.show.grid.front_hash == 32);
    season_close(&s);
    assert_int_equal(count_entries(dir), 1);
}

static void a_file_that_is_there_is_never_made_again(void **state)
{
    (void)state;
    struct season s = season_new();
    season_close(&s);
    size_t n, m;
    char *before = read_file(s.path, &n);
    assert_false(store_create(s.path, "Other", "college", &s.store, &s.e));
    assert_int_equal(s.e.code, ERR_INPUT);
    char *after = read_file(s.path, &m);
    assert_true(n == m && memcmp(before, after, n) == 0);
}

static void an_unknown_field_leaves_no_file(void **state)
{
    (void)state;
    const char *dir = temp_dir();
    struct store *store;
    struct err e = {0};
    assert_false(store_create(path_in(dir, "a.show"), "A", "moon", &store, &e));
    assert_int_equal(e.code, ERR_USAGE);
    assert_int_equal(count_entries(dir), 0);
}

/* --- refusals ------------------------------------------------------------------------------- */

static void change_bytes(const char *path, size_t at, const char *bytes, size_t n)
{
    int fd = open(path, O_WRONLY);
    assert_true(fd >= 0 && pwrite(fd, bytes, n, (off_t)at) == (ssize_t)n);
    close(fd);
}

static void sql(const char *path, const char *text)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    char *why = NULL;
    if (sqlite3_exec(db, text, NULL, NULL, &why) != SQLITE_OK)
        fail_msg("%s: %s", text, why);
    sqlite3_close(db);
}

static const char *sound_show(void)
{
    static char *bytes;
    static size_t n;
    if (!bytes) {
        struct season s = season_new();
        add_mark(&s, "T1", "late", 1000000);
        season_close(&s);
        bytes = read_file(s.path, &n);
    }
    return write_bytes(temp_dir(), "larkspur.show", bytes, n);
}

static const char *missing(void)
{
    return path_in(temp_dir(), "no.show");
}
static const char *folder(void)
{
    return temp_dir();
}
static const char *empty(void)
{
    return write_file(temp_dir(), "a.show", "");
}
static const char *text(void)
{
    return write_file(temp_dir(), "a.show", "section,parent\nwinds,\n");
}
static const char *cut_header(void)
{
    return write_bytes(temp_dir(), "a.show", "SQLite format 3\0 and no more", 28);
}
static const char *others_database(void)
{
    const char *path = path_in(temp_dir(), "a.show");
    sql(path, "CREATE TABLE bookmark(id INTEGER PRIMARY KEY, url TEXT)");
    return path;
}
static const char *newer(void)
{
    const char *path = sound_show();
    sql(path, "PRAGMA user_version=99");
    return path;
}
static const char *unfinished(void)
{
    const char *path = sound_show();
    sql(path, "PRAGMA user_version=0");
    return path;
}
static const char *truncated(void)
{
    const char *path = sound_show();
    struct stat st;
    assert_true(stat(path, &st) == 0 && truncate(path, st.st_size / 2) == 0);
    return path;
}
static const char *cut_within_a_page(void)
{
    const char *path = sound_show();
    struct stat st;
    assert_true(stat(path, &st) == 0 && truncate(path, st.st_size - 100) == 0);
    return path;
}
static const char *damaged_page(void)
{
    const char *path = sound_show();
    change_bytes(path, 4096, "\377\377\377\377\377\377\377\377", 8);
    return path;
}
static const char *damaged_schema(void)
{
    const char *path = sound_show();
    change_bytes(path, 100, "\377\377\377\377\377\377\377\377", 8);
    return path;
}
static const char *without_marks(void)
{
    const char *path = sound_show();
    sql(path, "DROP TABLE mark_target; DROP TABLE mark");
    return path;
}
static const char *not_in_log_mode(void)
{
    const char *path = sound_show();
    sql(path, "PRAGMA journal_mode=DELETE; DROP TABLE dot");
    return path;
}

static const struct refusal {
    const char *name;
    const char *(*make)(void);
    enum err_code code;
    const char *said; /* part of it */
} refusals[] = {
    {"a file that is not there", missing, ERR_INPUT, "no such show file; make one: boxcall new"},
    {"a folder", folder, ERR_SHOW, "is a directory"},
    {"an empty file", empty, ERR_SHOW, "the file is empty, not a show file"},
    {"a text file", text, ERR_SHOW, "is not a show file"},
    {"a file cut in its header", cut_header, ERR_SHOW, "is not a show file"},
    {"another program's database", others_database, ERR_SHOW, "database of another program"},
    {"a file of a newer program", newer, ERR_SHOW,
     "written by a newer boxcall (file version 99, this program knows"},
    {"a file that was never finished", unfinished, ERR_SHOW, "never finished"},
    {"a file cut in half", truncated, ERR_SHOW, "damaged"},
    {"a file cut within a page", cut_within_a_page, ERR_SHOW, "damaged"},
    {"a page overwritten", damaged_page, ERR_SHOW, "damaged"},
    {"the first page overwritten", damaged_schema, ERR_SHOW, "damaged"},
    {"a file without a table", without_marks, ERR_SHOW, "not a whole show file"},
    {"a file without a table that is not in log mode", not_in_log_mode, ERR_SHOW,
     "not a whole show file"},
};

static void is_refused_and_left_alone(void **state)
{
    const struct refusal *r = *state;
    const char *path = r->make();
    struct store *store = NULL;
    struct err e = {0};
    struct stat st;
    size_t n = 0, m = 0;
    bool file = stat(path, &st) == 0 && S_ISREG(st.st_mode);
    char *before = file ? read_file(path, &n) : NULL;
    assert_false(store_open(path, &store, &e));
    assert_null(store);
    if (!strstr(e.text, r->said) || e.code != r->code)
        fail_msg("said (%d): %s", (int)e.code, e.text);
    assert_true(strncmp(e.text, path, strlen(path)) == 0);
    assert_null(strchr(e.text, '\n'));
    char *after = file ? read_file(path, &m) : NULL;
    assert_int_equal(n, m);
    assert_true(!file || memcmp(before, after, n) == 0);
    if (file)
        assert_int_equal(
            count_entries(arena_strndup(test_arena(), path, (size_t)(strrchr(path, '/') - path))),
            1);
}

static void a_pipe_is_refused_without_waiting_for_a_writer(void **state)
{
    (void)state;
    const char *path = path_in(temp_dir(), "a.show");
    struct store *store;
    struct err e = {0};
    assert_int_equal(mkfifo(path, 0600), 0);
    assert_false(store_open(path, &store, &e));
    assert_int_equal(e.code, ERR_SHOW);
}

/* Any single byte of the file turned: it opens, or it is refused and stays as it is. */
static void a_turned_byte_never_ends_worse_than_in_a_refusal(void **state)
{
    (void)state;
    const char *path = sound_show();
    size_t n, m;
    char *sound = read_file(path, &n);
    unsigned chance = 5, refused = 0;
    for (int round = 0; round < 150; round++) {
        chance = chance * 1103515245u + 12345u;
        size_t at = round < 30 ? (size_t)round * 4 : (chance >> 4) % n;
        unlink(path_in(path, "../larkspur.show-wal"));
        char *turned = arena_strndup(test_arena(), sound, n);
        turned[at] ^= (char)(1 << chance % 8);
        FILE *f = fopen(path, "wb");
        assert_true(f && fwrite(turned, 1, n, f) == n && fclose(f) == 0);
        struct season s = {.path = path};
        bool ok = store_open(path, &s.store, &s.e) && store_show(s.store, &s.memory, &s.show, &s.e);
        struct mark_list l;
        ok = ok && store_marks(s.store, &s.memory, 1, &l, &s.e);
        bool opened = s.store != NULL;
        season_close(&s);
        if (ok || opened)
            continue;
        refused++;
        assert_true(s.e.code == ERR_SHOW || s.e.code == ERR_FAILED);
        char *after = read_file(path, &m);
        assert_true(n == m && memcmp(turned, after, n) == 0);
    }
    assert_true(refused > 20); /* or this test would prove nothing */
}

/* --- files written elsewhere ------------------------------------------------------------------ */

/* Sound as a database, but with rows that point nowhere: such a file is read without them. */
static void rows_that_point_nowhere_are_passed_over(void **state)
{
    (void)state;
    const char *path = sound_show();
    sql(path, "PRAGMA foreign_keys=OFF;"
              "UPDATE performer SET section_id=999 WHERE label='U1';"
              "INSERT INTO mark SELECT 50,x'01',clip_id,at_us,end_us,777,praise,severity,cause,"
              "state,note,set_id,count,late_counts,late_error,x,y,author,made_at,changed_at,"
              "removed_at,measured,measured_value,measured_error,measured_of FROM mark;"
              "UPDATE mark SET state=9; UPDATE mark_target SET state=-4, section_id=555;"
              "UPDATE section SET parent='tubas' WHERE name='brass'");
    struct season s = {.path = path};
    season_open(&s);
    assert_int_equal(show_performer(&s.show, "U1"), -1);
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.n, 1);
    assert_int_equal(l.at[0].state, MARK_OPEN);
    assert_int_equal(l.at[0].n_targets, 0);
    for (size_t i = 0; i < s.show.n_sections; i++)
        assert_true(section_within(&s.show, (int)i, s.show.root));
    season_close(&s);
}

static void a_version_that_stands_only_in_the_log_is_seen(void **state)
{
    (void)state;
    const char *path = sound_show(), *copy = path_in(temp_dir(), "copy.show");
    struct store *store;
    struct err e = {0};
    sqlite3 *db;
    size_t n;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "PRAGMA user_version=99", NULL, NULL, NULL), SQLITE_OK);
    /* As a crash leaves it: the log has not been carried into the file yet. */
    char *file = read_file(path, &n);
    FILE *f = fopen(copy, "wb");
    assert_true(f && fwrite(file, 1, n, f) == n && fclose(f) == 0);
    char *log = read_file(arena_printf(test_arena(), "%s-wal", path), &n);
    f = fopen(arena_printf(test_arena(), "%s-wal", copy), "wb");
    assert_true(f && fwrite(log, 1, n, f) == n && fclose(f) == 0);
    sqlite3_close(db);
    assert_false(store_open(copy, &store, &e));
    assert_int_equal(e.code, ERR_SHOW);
    assert_non_null(strstr(e.text, "newer boxcall"));
}

static void the_file_says_whose_it_is_before_its_log_is_carried_over(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *path = path_in(dir, "a.show"),
               *copy = path_in(temp_dir(), "copy.show");
    struct store *store;
    struct err e = {0};
    size_t n;
    assert_true(store_create(path, "A", "college", &store, &e));
    char *file = read_file(path, &n); /* what a crash right after the making leaves */
    FILE *f = fopen(copy, "wb");
    assert_true(f && fwrite(file, 1, n, f) == n && fclose(f) == 0);
    store_close(store);
    if (!store_open(copy, &store, &e))
        fail_msg("%s", e.text);
    store_close(store);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_show_opened_again_is_the_show_that_was_closed);
    case_test(&all, a_closed_show_is_one_file);
    case_test(&all, a_file_that_is_there_is_never_made_again);
    case_test(&all, an_unknown_field_leaves_no_file);
    cases_of(&all, refusals, is_refused_and_left_alone);
    case_test(&all, a_pipe_is_refused_without_waiting_for_a_writer);
    case_test(&all, a_turned_byte_never_ends_worse_than_in_a_refusal);
    case_test(&all, rows_that_point_nowhere_are_passed_over);
    case_test(&all, a_version_that_stands_only_in_the_log_is_seen);
    case_test(&all, the_file_says_whose_it_is_before_its_log_is_carried_over);
    return cases_run(&all, "opening show files");
}
