#include "store/words.h"

#include <stdlib.h>
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

bool store_names(struct store *s, struct arena *a, struct named_list *out, struct err *e)
{
    struct named *at = NULL;
    size_t n = 0, cap = 0;
    bool ok = true;
    sqlite3_stmt *q = st_get(s,
                             "SELECT 0 AS kind,id,name,words,place FROM fault WHERE removed_at IS "
                             "NULL UNION ALL SELECT 1,id,name,words,place FROM section WHERE "
                             "removed_at IS NULL ORDER BY kind,place,id",
                             e);
    if (!q)
        return false;
    while (st_row(s, q, &ok, e)) {
        at = array_grow(at, n, &cap, sizeof *at);
        at[n++] =
            (struct named){sqlite3_column_int(q, 0) == 1, sqlite3_column_int64(q, 1),
                           arena_strdup(a, st_column(q, 2)), arena_strdup(a, st_column(q, 3))};
    }
    struct named *own = arena_alloc(a, (n + 1) * sizeof *own);
    if (n)
        memcpy(own, at, n * sizeof *own);
    free(at);
    *out = (struct named_list){own, n};
    return ok;
}

bool store_words_put(struct store *s, const struct named *whose, const char *words, struct err *e)
{
    if (!step_open(s, "teach a word", e))
        return false;
    sqlite3_stmt *q =
        whose->section
            ? st_get(s, "UPDATE section SET words=?1,author=?2,changed_at=?3 WHERE id=?4", e)
            : st_get(s, "UPDATE fault SET words=?1,author=?2,changed_at=?3 WHERE id=?4", e);
    if (q) {
        st_text(q, 1, words);
        st_text(q, 2, s->author);
        sqlite3_bind_int64(q, 3, clock_wall_ms());
        sqlite3_bind_int64(q, 4, whose->id);
    }
    return step_close(s, q && st_done(s, q, e), e);
}
