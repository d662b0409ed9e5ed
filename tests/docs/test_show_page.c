/* man/boxcall-show.5 says what another program may rely on; the file itself is the witness. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include <sqlite3.h>

#include "store/store.h"
#include "verb/season.h"

/* The page as plain words: macros and punctuation are blanks, so that a name can be searched. */
static const char *page_words(void)
{
    char *text = read_file(ROOT "/man/boxcall-show.5", NULL);
    for (char *s = text; *s; s++)
        if (!isalnum((unsigned char)*s) && *s != '_')
            *s = ' ';
    return text;
}

static void assert_named(const char *page, const char *name)
{
    assert_contains(page, arena_printf(test_arena(), " %s ", name));
}

static sqlite3 *new_show(void)
{
    struct season s = season_empty();
    sqlite3 *db;
    ends(BOX(&s, "new", "a.show"), 0);
    assert_int_equal(sqlite3_open_v2(path_in(s.dir, "a.show"), &db, SQLITE_OPEN_READONLY, NULL),
                     SQLITE_OK);
    return db;
}

static void the_page_names_every_table_and_column(void **state)
{
    (void)state;
    sqlite3 *db = new_show();
    sqlite3_stmt *q;
    const char *page = page_words();
    int columns = 0;
    assert_int_equal(sqlite3_prepare_v2(db,
                                        "SELECT t.name, c.name FROM sqlite_schema t, "
                                        "pragma_table_info(t.name) c WHERE t.type='table' AND "
                                        "t.name NOT LIKE 'sqlite_%'",
                                        -1, &q, NULL),
                     SQLITE_OK);
    for (; sqlite3_step(q) == SQLITE_ROW; columns++) {
        assert_named(page, (const char *)sqlite3_column_text(q, 0));
        assert_named(page, (const char *)sqlite3_column_text(q, 1));
    }
    assert_true(columns > 100);
    sqlite3_finalize(q);
    sqlite3_close(db);
}

static int pragma(sqlite3 *db, const char *name)
{
    sqlite3_stmt *q;
    const char *sql = arena_printf(test_arena(), "PRAGMA %s", name);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &q, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(q), SQLITE_ROW);
    int value = sqlite3_column_int(q, 0);
    sqlite3_finalize(q);
    return value;
}

static void the_page_says_whose_file_it_is_and_which_version(void **state)
{
    (void)state;
    sqlite3 *db = new_show();
    const char *page = page_words();
    assert_contains(page, arena_printf(test_arena(), "0x%x", pragma(db, "application_id")));
    assert_contains(page, arena_printf(test_arena(), "now %d ", pragma(db, "user_version")));
    sqlite3_close(db);
}

/* The query under EXAMPLES, as it stands there. */
static void the_example_query_runs(void **state)
{
    (void)state;
    sqlite3 *db = new_show();
    sqlite3_stmt *q;
    const char *text = strstr(read_file(ROOT "/man/boxcall-show.5", NULL), "\nSELECT");
    assert_non_null(text);
    assert_int_equal(sqlite3_prepare_v2(db, text, (int)(strchr(text, ';') - text), &q, NULL),
                     SQLITE_OK);
    assert_int_equal(sqlite3_step(q), SQLITE_DONE);
    sqlite3_finalize(q);
    sqlite3_close(db);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_page_names_every_table_and_column);
    case_test(&all, the_page_says_whose_file_it_is_and_which_version);
    case_test(&all, the_example_query_runs);
    return cases_run(&all, "show page");
}
