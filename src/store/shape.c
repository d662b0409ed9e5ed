/* Are the tables of a file exactly those that we make? Show files are passed around, and a view, a
 * trigger or a rewritten table in one would run in our queries. */
#include <string.h>

#include "store/inside.h"

static const char list[] = "SELECT type,name,tbl_name,coalesce(sql,'') FROM sqlite_schema WHERE "
                           "name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\' ORDER BY type,name";

static bool refuse(struct store *s, const char *what, struct err *e)
{
    return err_set(e, ERR_SHOW,
                   "%s: is not a whole show file (%s is not as boxcall makes it); restore a copy "
                   "of it",
                   s->path, what);
}

/* A show without rows, of that version. */
static sqlite3 *model(int version)
{
    sqlite3 *db = NULL;
    bool ok = sqlite3_open_v2(":memory:", &db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK;
    for (int v = 0; ok && v < version; v++)
        ok = sqlite3_exec(db, store_schema[v], NULL, NULL, NULL) == SQLITE_OK;
    if (ok)
        return db;
    sqlite3_close(db);
    return NULL;
}

static bool same_row(sqlite3_stmt *a, sqlite3_stmt *b)
{
    bool same = true;
    for (int i = 0; i < 4; i++)
        same &= strcmp(st_column(a, i), st_column(b, i)) == 0;
    return same;
}

static bool compare(struct store *s, sqlite3_stmt *ours, sqlite3_stmt *theirs, struct err *e)
{
    bool ok = true;
    for (;;) {
        int rc = sqlite3_step(ours);
        bool row = st_row(s, theirs, &ok, e);
        if (!ok)
            return false;
        if (rc != SQLITE_ROW)
            return rc == SQLITE_DONE && !row ? true
                                             : refuse(s, row ? st_column(theirs, 1) : "it", e);
        if (!row || !same_row(ours, theirs))
            return refuse(s, st_column(row ? theirs : ours, 1), e);
    }
}

bool shape_check(struct store *s, int version, struct err *e)
{
    sqlite3 *db = model(version);
    sqlite3_stmt *ours = NULL, *theirs = st_get(s, list, e);
    if (!db)
        return err_set(e, ERR_FAILED, "%s: out of memory", s->path);
    bool ok = theirs &&
              (sqlite3_prepare_v2(db, list, -1, &ours, NULL) == SQLITE_OK ||
               err_set(e, ERR_FAILED, "%s: %s", s->path, sqlite3_errmsg(db))) &&
              compare(s, ours, theirs, e);
    if (theirs)
        sqlite3_reset(theirs);
    sqlite3_finalize(ours);
    sqlite3_close(db);
    return ok;
}
