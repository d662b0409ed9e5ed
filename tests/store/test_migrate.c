/* A file of an older version is carried forward in one step, with a copy of it kept beside. This
 * test compiles the opening of files with one version more than there is. */
#include <sqlite3.h>
#include <stdio.h>
#include <unistd.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "store/store.h"

#define store_schema schema_one
#include "store/schema.c"
#undef store_schema

enum { REAL = STORE_VERSION, NEXT = REAL + 1 };
static const char *steps[NEXT];
#define store_schema  steps
#define STORE_VERSION NEXT
#include "store/open.c"
#include "store/shape.c"

/* A file as version one wrote it, with a setting in it. */
static const char *old_file(void)
{
    const char *path = path_in(temp_dir(), "a.show");
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    char *why = NULL;
    sqlite3_exec(db, "PRAGMA journal_mode=WAL", NULL, NULL, NULL);
    if (sqlite3_exec(db, schema_one[0], NULL, NULL, &why) != SQLITE_OK)
        fail_msg("%s", why);
    sqlite3_exec(db,
                 "INSERT INTO setting VALUES('title','Larkspur'); PRAGMA user_version=1; "
                 "PRAGMA application_id=0x6278636c",
                 NULL, NULL, NULL);
    sqlite3_close(db);
    for (int v = 0; v < REAL; v++)
        steps[v] = schema_one[v];
    steps[REAL] = "ALTER TABLE clip ADD COLUMN weather TEXT NOT NULL DEFAULT ''";
    return path;
}

static int number(struct store *s, const char *sql)
{
    sqlite3_stmt *q;
    int n = -1;
    if (sqlite3_prepare_v2(s->db, sql, -1, &q, NULL) == SQLITE_OK && sqlite3_step(q) == SQLITE_ROW)
        n = sqlite3_column_int(q, 0);
    sqlite3_finalize(q);
    return n;
}

static const char weather[] = "SELECT count(*) FROM pragma_table_info('clip') WHERE name='weather'";

static struct store *must_open(const char *path)
{
    struct store *s;
    struct err e = {0};
    if (!store_open(path, &s, &e))
        fail_msg("%s", e.text);
    return s;
}

static void an_old_file_is_carried_forward_and_a_copy_of_it_kept(void **state)
{
    (void)state;
    const char *path = old_file(), *copy = arena_printf(test_arena(), "%s.v1", path);
    sqlite3 *db;
    struct store *s = must_open(path), kept;
    assert_int_equal(number(s, "PRAGMA user_version"), NEXT);
    assert_int_equal(number(s, weather), 1);
    assert_string_equal(store_setting(s, test_arena(), "title"), "Larkspur");
    store_close(s);
    assert_int_equal(sqlite3_open(copy, &db), SQLITE_OK);
    kept.db = db;
    assert_int_equal(number(&kept, "PRAGMA user_version"), 1);
    assert_int_equal(number(&kept, "PRAGMA application_id"), 0x6278636c);
    assert_int_equal(number(&kept, weather), 0);
    assert_int_equal(number(&kept, "SELECT count(*) FROM setting WHERE value='Larkspur'"), 1);
    sqlite3_close(db);
    s = must_open(path); /* and not once more */
    assert_int_equal(number(s, weather), 1);
    store_close(s);
}

static const char *old_file_with(const char *rows)
{
    const char *path = old_file();
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, rows, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    return path;
}

/* Which faults need the other sections stood in the program, by three families, before version 3. */
static void of_an_old_file_the_faults_keep_what_their_families_meant(void **state)
{
    (void)state;
    static const char fault[] =
        "INSERT INTO fault(uid,name,family,key,cause,right,words,place,author,made_at,changed_at) "
        "VALUES(randomblob(16),'late','timing','l',0,'','',0,'',0,0),"
        "(randomblob(16),'slouch','carriage','s',0,'','',1,'',0,0),"
        "(randomblob(16),'gap','form & spacing','g',0,'','',2,'',0,0)";
    struct store *s = must_open(old_file_with(fault));
    struct show show = {0};
    struct arena mem = {0};
    struct err e;
    assert_true(store_show(s, &mem, &show, &e));
    assert_int_equal(show.n_faults, 3);
    assert_true(show.faults[0].together);
    assert_false(show.faults[1].together);
    assert_true(show.faults[2].together);
    arena_free(&mem);
    store_close(s);
}

/* A row that a version carried forward without writing it anew has no value of the new column of its
 * own; SQLite's record of changes calls that NULL, and taking the change back would not find it. */
static void a_change_to_a_row_of_an_old_file_is_taken_back(void **state)
{
    (void)state;
    static const char fault[] =
        "INSERT INTO fault(uid,name,family,key,cause,right,words,place,author,made_at,changed_at) "
        "VALUES(randomblob(16),'slouch','carriage','s',0,'','',0,'',0,0)";
    static const char table[] = "fault,family,key,together\nslouch,carriage,s,yes\n";
    struct store *s = must_open(old_file_with(fault));
    struct arena mem = {0};
    struct fault_list l;
    struct put_report r;
    struct travelled t = {0};
    struct err e = {0};
    assert_true(
        faults_read(&mem, &(struct table_text){table, strlen(table), "faults", NULL}, &l, &e));
    assert_true(store_put_faults(s, &l, true, &r, &e));
    assert_int_equal(r.changed, 1);
    assert_int_equal(number(s, "SELECT together FROM fault"), 1);
    if (!store_undo(s, &t, &e))
        fail_msg("%s", e.text);
    assert_int_equal(number(s, "SELECT together FROM fault"), 0);
    arena_free(&mem);
    store_close(s);
}

/* The same for every version to come: who adds a column to a table writes its rows anew. */
static void who_adds_a_column_writes_the_rows_anew(void **state)
{
    (void)state;
    for (int v = 3; v < REAL; v++)
        for (const char *at = schema_one[v]; (at = strstr(at, "ALTER TABLE ")); at++) {
            char table[40];
            if (sscanf(at, "ALTER TABLE %39s ADD COLUMN", table) == 1 &&
                !strstr(at, arena_printf(test_arena(), "UPDATE %s SET ", table)))
                fail_msg("version %d adds a column to %s and leaves its rows", v + 1, table);
        }
}

static void a_step_that_fails_leaves_the_old_file(void **state)
{
    (void)state;
    const char *path = old_file();
    struct store *s;
    struct err e = {0};
    steps[REAL] = "ALTER TABLE clip ADD COLUMN weather TEXT; INSERT INTO nowhere VALUES(1)";
    assert_false(store_open(path, &s, &e));
    assert_true(*e.text);
    steps[REAL] = "ALTER TABLE clip ADD COLUMN weather TEXT";
    s = must_open(path);
    assert_int_equal(number(s, weather), 1);
    store_close(s);
}

static void a_crash_behind_the_step_does_not_repeat_it(void **state)
{
    (void)state;
    const char *path = old_file(), *copy = path_in(temp_dir(), "b.show");
    size_t n, m;
    struct store *s = must_open(path);
    char *file = read_file(path, &n),
         *log = read_file(arena_printf(test_arena(), "%s-wal", path), &m);
    const char *slash = strrchr(copy, '/');
    const char *dir = arena_strndup(test_arena(), copy, (size_t)(slash - copy));
    write_bytes(dir, "b.show", file, n); /* its first bytes still say version one */
    write_bytes(dir, "b.show-wal", log, m);
    store_close(s);
    assert_int_equal(file[63], 1);
    s = must_open(copy);
    assert_int_equal(number(s, "PRAGMA user_version"), NEXT);
    assert_int_equal(number(s, weather), 1);
    assert_int_equal(access(path_in(dir, "b.show.v1"), F_OK), -1);
    store_close(s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, an_old_file_is_carried_forward_and_a_copy_of_it_kept);
    case_test(&all, of_an_old_file_the_faults_keep_what_their_families_meant);
    case_test(&all, a_change_to_a_row_of_an_old_file_is_taken_back);
    case_test(&all, who_adds_a_column_writes_the_rows_anew);
    case_test(&all, a_step_that_fails_leaves_the_old_file);
    case_test(&all, a_crash_behind_the_step_does_not_repeat_it);
    return cases_run(&all, "older files");
}
