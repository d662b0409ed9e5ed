#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "base/utf8.h"
#include "store/inside.h"
#include "sys/clock.h"

/* The stored path is relative when the clip lies in the show file's folder or below, so that the
 * folder can be carried to another laptop. */
static const char *folder_rest(const struct store *s, const char *path)
{
    size_t folder = (size_t)(strrchr(s->path, '/') - s->path) + 1;
    return strncmp(path, s->path, folder) == 0 ? path + folder : path;
}

static const char *absolute(const struct store *s, struct arena *a, const char *stored)
{
    if (stored[0] == '/')
        return arena_strdup(a, stored);
    int folder = (int)(strrchr(s->path, '/') - s->path);
    return arena_printf(a, "%.*s/%s", folder, s->path, stored);
}

bool store_clips(struct store *s, struct arena *a, struct clip_list *out, struct err *e)
{
    *out = (struct clip_list){0};
    sqlite3_stmt *q =
        st_get(s,
               "SELECT id,label,path,date,run,length_us,size_bytes,width,height,fps_num,fps_den,"
               "sha256,head_tail,coalesce(p.at_us,-1) FROM clip LEFT JOIN place p ON "
               "p.clip_id=clip.id WHERE removed_at IS NULL ORDER BY date,run,label",
               e);
    if (!q)
        return false;
    size_t cap = 0;
    struct clip *at = NULL;
    bool ok = true;
    while (st_row(s, q, &ok, e)) {
        at = array_grow(at, out->n, &cap, sizeof *at);
        at[out->n++] = (struct clip){
            .id = sqlite3_column_int64(q, 0),
            .label = arena_strdup(a, st_column(q, 1)),
            .link = arena_strdup(a, st_column(q, 2)),
            .path = absolute(s, a, st_column(q, 2)),
            .date = arena_strdup(a, st_column(q, 3)),
            .run = sqlite3_column_int(q, 4),
            .length_us = sqlite3_column_int64(q, 5),
            .size_bytes = sqlite3_column_int64(q, 6),
            .width = sqlite3_column_int(q, 7),
            .height = sqlite3_column_int(q, 8),
            .fps_num = sqlite3_column_int(q, 9),
            .fps_den = sqlite3_column_int(q, 10),
            .sha256 = arena_strdup(a, st_column(q, 11)),
            .head_tail = arena_strdup(a, st_column(q, 12)),
            .left_us = sqlite3_column_int64(q, 13),
        };
    }
    out->at = arena_take(a, at, out->n * sizeof *at);
    return ok;
}

bool store_clip_put(struct store *s, struct clip *c, struct err *e)
{
    if (!step_open(s, NULL, e))
        return false;
    sqlite3_stmt *q =
        c->id ? st_get(s,
                       "UPDATE clip SET label=?1,path=?2,date=?3,run=?4,length_us=?5,size_bytes=?6,"
                       "width=?7,height=?8,fps_num=?9,fps_den=?10,sha256=?11,head_tail=?12,"
                       "author=?13,changed_at=?14,removed_at=NULL WHERE id=?15",
                       e)
              : st_get(s,
                       "INSERT INTO clip(label,path,date,run,length_us,size_bytes,width,height,"
                       "fps_num,fps_den,sha256,head_tail,author,made_at,changed_at,uid) "
                       "VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14,?14,?15)",
                       e);
    if (!q)
        return step_close(s, false, e);
    st_text(q, 1, c->label);
    st_text(q, 2, folder_rest(s, c->path));
    st_text(q, 3, c->date);
    sqlite3_bind_int(q, 4, c->run);
    sqlite3_bind_int64(q, 5, c->length_us);
    sqlite3_bind_int64(q, 6, c->size_bytes);
    sqlite3_bind_int(q, 7, c->width);
    sqlite3_bind_int(q, 8, c->height);
    sqlite3_bind_int(q, 9, c->fps_num);
    sqlite3_bind_int(q, 10, c->fps_den);
    st_text(q, 11, c->sha256);
    st_text(q, 12, c->head_tail);
    st_text(q, 13, s->author);
    sqlite3_bind_int64(q, 14, clock_wall_ms());
    if (c->id)
        sqlite3_bind_int64(q, 15, c->id);
    else
        st_uid(q, 15);
    bool ok = st_done(s, q, e);
    int64_t id = c->id ? c->id : sqlite3_last_insert_rowid(s->db);
    if (!step_close(s, ok, e))
        return false;
    c->id = id;
    return true;
}

bool store_clip_left(struct store *s, int64_t clip, int64_t at_us, struct err *e)
{
    if (!step_open(s, NULL, e))
        return false;
    sqlite3_stmt *q =
        st_get(s, "INSERT INTO place VALUES(?2,?1) ON CONFLICT(clip_id) DO UPDATE SET at_us=?1", e);
    if (q) {
        sqlite3_bind_int64(q, 1, at_us);
        sqlite3_bind_int64(q, 2, clip);
    }
    return step_close(s, q && st_done(s, q, e), e);
}

static bool same_path(const struct clip *c, const char *text)
{
    if (strcmp(c->path, text) == 0 || strcmp(c->link, text) == 0)
        return true;
    char *full = realpath(text, NULL);
    bool same = full && strcmp(full, c->path) == 0;
    free(full);
    return same;
}

const struct clip *clip_named(const struct clip_list *l, const char *text, struct err *e)
{
    struct near near = {.word = text};
    for (size_t i = 0; i < l->n; i++) {
        if (utf8_casecmp(l->at[i].label, text) == 0)
            return &l->at[i];
        near_offer(&near, l->at[i].label);
    }
    for (size_t i = 0; i < l->n; i++)
        if (same_path(&l->at[i], text))
            return &l->at[i];
    char *end;
    long long id = strtoll(text, &end, 10);
    for (size_t i = 0; *text && !*end && i < l->n; i++)
        if (l->at[i].id == id)
            return &l->at[i];
    if (l->n == 0)
        err_set(e, ERR_INPUT,
                "no clip '%s': the show has no clips yet; add one: boxcall add SHOW "
                "clip FILE",
                text);
    else if (near.best)
        err_set(e, ERR_INPUT, "no clip '%s'%s", text, near_said(&near, "").text);
    else
        err_set(e, ERR_INPUT, "no clip '%s'; the first one is '%s'", text, l->at[0].label);
    return NULL;
}

bool store_each_clip_marks(struct store *s, void (*fn)(void *ctx, const struct clip_marks *row),
                           void *ctx, struct err *e)
{
    bool ok = true;
    sqlite3_stmt *q = st_get(s,
                             "SELECT clip_id,sum(n),group_concat(author,', ') FROM (SELECT clip_id,"
                             "author,count(*) n FROM mark WHERE removed_at IS NULL GROUP BY "
                             "clip_id,author ORDER BY clip_id,n DESC,author) GROUP BY clip_id",
                             e);
    if (!q)
        return false;
    while (st_row(s, q, &ok, e)) {
        const struct clip_marks row = {sqlite3_column_int64(q, 0), sqlite3_column_int64(q, 1),
                                       st_column(q, 2)};
        fn(ctx, &row);
    }
    return ok;
}
