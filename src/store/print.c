/* What is in the show, as one number. */
#include <string.h>

#include "base/hash.h"
#include "store/inside.h"

static uint64_t add_value(uint64_t h, sqlite3_stmt *q, int at)
{
    const int kind = sqlite3_column_type(q, at);
    const int64_t whole = sqlite3_column_int64(q, at);
    const double real = sqlite3_column_double(q, at);
    h = hash_more(h, &kind, sizeof kind);
    if (kind == SQLITE_INTEGER)
        return hash_more(h, &whole, sizeof whole);
    if (kind == SQLITE_FLOAT)
        return hash_more(h, &real, sizeof real);
    const void *bytes = sqlite3_column_blob(q, at);
    const int n = sqlite3_column_bytes(q, at);
    h = hash_more(h, &n, sizeof n);
    return n > 0 ? hash_more(h, bytes, (size_t)n) : h;
}

static bool add_rows(struct store *s, const char *table, uint64_t *h, struct err *e)
{
    char sql[100];
    sqlite3_stmt *q = NULL;
    sqlite3_snprintf(sizeof sql, sql, "SELECT * FROM \"%w\"", table);
    if (sqlite3_prepare_v2(s->db, sql, -1, &q, NULL) != SQLITE_OK)
        return st_fail(s, e);
    bool ok = true;
    const int n = sqlite3_column_count(q);
    *h = hash_more(*h, table, strlen(table) + 1);
    while (st_row(s, q, &ok, e))
        for (int i = 0; i < n; i++)
            *h = add_value(*h, q, i);
    sqlite3_finalize(q);
    return ok;
}

/* Steps that can be undone, where a clip was left, the camera, which the picks make, and drafts, which
 * are no marks yet, are nothing that anybody reads. */
bool store_print(struct store *s, uint64_t *out, struct err *e)
{
    enum { TABLES = 64 };
    char names[TABLES][40];
    int n = 0;
    bool ok = true;
    sqlite3_stmt *q = st_get(s,
                             "SELECT name FROM sqlite_schema WHERE type='table' AND name NOT LIKE "
                             "'sqlite%' AND name NOT LIKE 'undo%' AND name NOT LIKE 'camera%' AND "
                             "name NOT LIKE 'draft%' AND "
                             "name<>'place' ORDER BY name",
                             e);
    if (!q)
        return false;
    while (st_row(s, q, &ok, e))
        if (n < TABLES)
            sqlite3_snprintf(sizeof names[0], names[n++], "%s", st_column(q, 0));
    *out = HASH_BEGIN;
    for (int i = 0; ok && i < n; i++)
        ok = add_rows(s, names[i], out, e);
    return ok;
}
