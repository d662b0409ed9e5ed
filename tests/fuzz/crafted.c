/* A show file that somebody changed with a program of their own: the input is SQL, run on a sound
 * one. Rows that make no sense, tables replaced by views, triggers, columns of another kind. */
#include <stdlib.h>
#include <string.h>

#include <sqlite3.h>

#include "fuzz/season.h"

enum { OPERATIONS = 200 /* thousands that the SQL itself may take */, LARGEST = 1 << 20 };

static int enough(void *left)
{
    return --*(int *)left < 0;
}

static int within_the_file(void *ctx, int action, const char *a, const char *b, const char *c,
                           const char *d)
{
    (void)ctx, (void)a, (void)b, (void)c, (void)d;
    return action == SQLITE_ATTACH || action == SQLITE_DETACH ? SQLITE_DENY : SQLITE_OK;
}

static void change(const char *path, const char *sql)
{
    sqlite3 *db;
    int left = OPERATIONS;
    PROVE(sqlite3_open(path, &db) == SQLITE_OK);
    sqlite3_exec(db,
                 "PRAGMA journal_mode=MEMORY; PRAGMA synchronous=OFF; PRAGMA max_page_count=512",
                 NULL, NULL, NULL);
    sqlite3_limit(db, SQLITE_LIMIT_LENGTH, LARGEST);
    sqlite3_progress_handler(db, 1000, enough, &left);
    sqlite3_set_authorizer(db, within_the_file, NULL);
    while (*sql) { /* a statement that is wrong is passed over, those behind it are not */
        size_t n = strcspn(sql, "\n");
        char *one = strndup(sql, n);
        sqlite3_exec(db, one, NULL, NULL, NULL);
        free(one);
        sql += n + (sql[n] != '\0');
    }
    sqlite3_close(db);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    size_t size;
    const uint8_t *sound = fuzz_season(&size);
    const char *path = fuzz_show_file(sound, size);
    char *sql = fuzz_string(data, n);
    change(path, sql);
    free(sql);
    fuzz_read_everything(path);
    return 0;
}
