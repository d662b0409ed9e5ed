#include <stdlib.h>
#include <string.h>

#include "rank/stat_stretch.h"
#include "store/inside.h"

/* Rows of one clip, of one reviewer or (NULL) of all, merged; heap memory. */
static bool read(struct store *s, int64_t clip, const char *reviewer, struct stat_stretch **out,
                 size_t *n, struct err *e)
{
    sqlite3_stmt *q = st_get(
        s, "SELECT from_us,to_us FROM watched WHERE clip_id=?1 AND (?2 IS NULL OR reviewer=?2)", e);
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    if (reviewer)
        st_text(q, 2, reviewer);
    bool ok = true;
    while (st_row(s, q, &ok, e)) {
        *out = array_grow(*out, *n, &cap, sizeof **out);
        (*out)[(*n)++] =
            (struct stat_stretch){sqlite3_column_int64(q, 0), sqlite3_column_int64(q, 1)};
    }
    *n = stat_stretch_merge(*out, *n);
    return ok;
}

bool store_watched_add(struct store *s, int64_t clip, const struct stretch *at, size_t n,
                       struct err *e)
{
    struct stat_stretch *all;
    size_t have;
    if (!step_open(s, NULL, e))
        return false;
    bool ok = read(s, clip, s->author, &all, &have, e);
    all = xrealloc(all, (have + n) * sizeof *all);
    for (size_t i = 0; i < n; i++)
        all[have + i] = (struct stat_stretch){at[i].from_us, at[i].to_us};
    have = stat_stretch_merge(all, have + n);
    sqlite3_stmt *q =
        ok ? st_get(s, "DELETE FROM watched WHERE clip_id=? AND reviewer=?", e) : NULL;
    if (q) {
        sqlite3_bind_int64(q, 1, clip);
        st_text(q, 2, s->author);
        ok = st_done(s, q, e);
    }
    ok = ok && q;
    for (size_t i = 0; ok && i < have; i++) {
        q = st_get(s, "INSERT INTO watched VALUES(?,?,?,?)", e);
        ok = q != NULL;
        if (!ok)
            break;
        sqlite3_bind_int64(q, 1, clip);
        st_text(q, 2, s->author);
        sqlite3_bind_int64(q, 3, all[i].from);
        sqlite3_bind_int64(q, 4, all[i].to);
        ok = st_done(s, q, e);
    }
    free(all);
    return step_close(s, ok, e);
}

bool store_watched(struct store *s, struct arena *a, int64_t clip, struct stretch_list *out,
                   struct err *e)
{
    struct stat_stretch *all;
    if (!read(s, clip, NULL, &all, &out->n, e)) {
        free(all);
        return false;
    }
    out->at = arena_alloc(a, out->n * sizeof *out->at);
    for (size_t i = 0; i < out->n; i++)
        out->at[i] = (struct stretch){all[i].from, all[i].to};
    free(all);
    return true;
}

bool store_reviewed(struct store *s, struct arena *a, int64_t clip, struct reviewed_list *out,
                    struct err *e)
{
    struct reviewed *at = NULL;
    size_t n = 0, cap = 0;
    sqlite3_stmt *q = st_get(s,
                             "SELECT reviewer,from_us,to_us FROM watched WHERE clip_id=? AND "
                             "from_us<to_us ORDER BY reviewer,from_us",
                             e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    bool ok = true;
    while (st_row(s, q, &ok, e)) {
        at = array_grow(at, n, &cap, sizeof *at);
        at[n++] = (struct reviewed){arena_strdup(a, st_column(q, 0)),
                                    {sqlite3_column_int64(q, 1), sqlite3_column_int64(q, 2)}};
    }
    *out = (struct reviewed_list){arena_take(a, at, n * sizeof *at), n};
    return ok;
}

bool store_authors(struct store *s, struct arena *a, int64_t clip, struct mark_authors *out,
                   struct err *e)
{
    struct mark_author *at = NULL;
    size_t n = 0, cap = 0;
    sqlite3_stmt *q = st_get(
        s, "SELECT id,author FROM mark WHERE clip_id=? AND removed_at IS NULL ORDER BY id", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clip);
    bool ok = true;
    while (st_row(s, q, &ok, e)) {
        at = array_grow(at, n, &cap, sizeof *at);
        at[n++] =
            (struct mark_author){sqlite3_column_int64(q, 0), arena_strdup(a, st_column(q, 1))};
    }
    *out = (struct mark_authors){arena_take(a, at, n * sizeof *at), n};
    return ok;
}
