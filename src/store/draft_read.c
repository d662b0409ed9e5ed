/* Drafts out of the show file. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "store/draft.h"
#include "store/inside.h"

/* --- sources --------------------------------------------------------------------------------- */

bool store_draft_sources(struct store *s, struct arena *a, int64_t clip,
                         struct draft_source_list *out, struct err *e)
{
    *out = (struct draft_source_list){0};
    sqlite3_stmt *q = st_get(s,
                             "SELECT id,clip_id,kind,name,path,digest,offset_us,rate,author,"
                             "made_at FROM draft_source WHERE clip_id=? ORDER BY id",
                             e);
    struct draft_source *at = NULL;
    size_t cap = 0;
    bool ok = q != NULL;
    if (q)
        sqlite3_bind_int64(q, 1, clip);
    while (q && st_row(s, q, &ok, e)) {
        at = array_grow(at, out->n, &cap, sizeof *at);
        at[out->n++] = (struct draft_source){
            .id = sqlite3_column_int64(q, 0),
            .clip = sqlite3_column_int64(q, 1),
            .kind = arena_strdup(a, st_column(q, 2)),
            .name = arena_strdup(a, st_column(q, 3)),
            .path = arena_strdup(a, st_column(q, 4)),
            .digest = arena_strdup(a, st_column(q, 5)),
            .offset_us = sqlite3_column_int64(q, 6),
            .rate = sqlite3_column_double(q, 7),
            .author = arena_strdup(a, st_column(q, 8)),
            .made_at = sqlite3_column_int64(q, 9),
        };
    }
    out->at = arena_take(a, at, out->n * sizeof *at);
    return ok;
}

/* --- drafts ---------------------------------------------------------------------------------- */

#define DRAFT_COLUMNS                                                                              \
    "id,clip_id,source_id,at_us,end_us,said_us,said_end_us,one,fault_id,praise,cause,severity,"    \
    "size,unit,confidence,quote,words,state,mark_id,touched,heard_fault_id,author,made_at,"        \
    "changed_at"

static enum draft_unit unit_of(const char *name)
{
    for (int u = DRAFT_COUNTS; u <= DRAFT_DEGREES; u++)
        if (strcmp(draft_unit_name((enum draft_unit)u), name) == 0)
            return (enum draft_unit)u;
    return DRAFT_NO_SIZE; /* one that only a newer program knows, too */
}

/* A line each. */
static const char *const *words_of(struct arena *a, const char *text, size_t *n)
{
    size_t most = 0;
    for (const char *s = text; *s; s += strcspn(s, "\n"), s += *s == '\n')
        most++;
    const char **words = arena_alloc(a, (most + 1) * sizeof *words);
    for (*n = 0; *text; text += *text == '\n') {
        const size_t len = strcspn(text, "\n");
        words[(*n)++] = arena_strndup(a, text, len);
        text += len;
    }
    return words;
}

static double share_of(double x)
{
    return x >= 0 && x <= 1 ? x : 0;
}

static struct stored_draft draft_row(struct store *s, struct arena *a, sqlite3_stmt *q)
{
    const int severity = sqlite3_column_int(q, 11), state = sqlite3_column_int(q, 17);
    struct stored_draft d = {
        .id = sqlite3_column_int64(q, 0),
        .clip = sqlite3_column_int64(q, 1),
        .source = sqlite3_column_int64(q, 2),
        .said_end_us = sqlite3_column_int64(q, 6),
        .state = state == DRAFT_ACCEPTED || state == DRAFT_DROPPED ? state : DRAFT_WAITS,
        .mark = sqlite3_column_int64(q, 18),
        .touched = sqlite3_column_int(q, 19),
        .heard_fault = idmap_find(&s->fault_at, sqlite3_column_int64(q, 20)),
        .author = arena_strdup(a, st_column(q, 21)),
        .made_at = sqlite3_column_int64(q, 22),
        .changed_at = sqlite3_column_int64(q, 23),
        .d = {.at_us = sqlite3_column_int64(q, 3),
              .end_us = sqlite3_column_int64(q, 4),
              .said_us = sqlite3_column_int64(q, 5),
              .one = sqlite3_column_int(q, 7),
              .fault = idmap_find(&s->fault_at, sqlite3_column_int64(q, 8)),
              .praise = sqlite3_column_int(q, 9),
              .cause = sqlite3_column_int(q, 10) ? CAUSE_DEFINE : CAUSE_EXECUTE,
              .severity = severity < SEVERITY_LEAST  ? SEVERITY_LEAST
                          : severity > SEVERITY_MOST ? SEVERITY_MOST
                                                     : severity,
              .size = sqlite3_column_double(q, 12),
              .unit = unit_of(st_column(q, 13)),
              .confidence = share_of(sqlite3_column_double(q, 14)),
              .quote = arena_strdup(a, st_column(q, 15))},
    };
    d.d.words = words_of(a, st_column(q, 16), &d.d.n_words);
    return d;
}

/* Those of now, or those that were heard; who is not in the show any more is left out. */
struct reading {
    int64_t draft;
    bool heard;
    const struct draft_target *at;
    size_t n;
};

static bool read_targets(struct store *s, struct arena *a, struct reading *r, struct err *e)
{
    sqlite3_stmt *q = st_get(s,
                             "SELECT section_id,performer_id FROM draft_target WHERE draft_id=?1 "
                             "AND heard=?2 ORDER BY place",
                             e);
    struct draft_target *t = NULL;
    size_t cap = 0;
    bool ok = q != NULL;
    r->n = 0;
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, r->draft);
    sqlite3_bind_int(q, 2, r->heard);
    while (st_row(s, q, &ok, e)) {
        const struct draft_target one = {idmap_find(&s->section_at, sqlite3_column_int64(q, 0)),
                                         idmap_find(&s->performer_at, sqlite3_column_int64(q, 1))};
        const bool gone = sqlite3_column_type(q, 1) != SQLITE_NULL && one.performer < 0;
        t = array_grow(t, r->n, &cap, sizeof *t);
        if (one.section >= 0 && !gone)
            t[r->n++] = one;
    }
    r->at = arena_take(a, t, r->n * sizeof *t);
    return ok;
}

static bool read_all_targets(struct store *s, struct arena *a, struct stored_draft *d,
                             struct err *e)
{
    struct reading now = {.draft = d->id}, heard = {.draft = d->id, .heard = true};
    if (!read_targets(s, a, &now, e) || !read_targets(s, a, &heard, e))
        return false;
    d->d.targets = now.at;
    d->d.n_targets = now.n;
    d->heard = heard.at;
    d->n_heard = heard.n;
    return true;
}

/* Takes rows of DRAFT_COLUMNS to the end. */
static bool take_drafts(struct store *s, struct arena *a, sqlite3_stmt *q,
                        struct stored_draft_list *out, struct err *e)
{
    struct stored_draft *at = NULL;
    size_t cap = 0;
    bool ok = true;
    *out = (struct stored_draft_list){0};
    while (st_row(s, q, &ok, e)) {
        at = array_grow(at, out->n, &cap, sizeof *at);
        at[out->n++] = draft_row(s, a, q);
    }
    for (size_t i = 0; ok && i < out->n; i++)
        ok = read_all_targets(s, a, &at[i], e);
    out->at = arena_take(a, at, out->n * sizeof *at);
    return ok;
}

bool store_drafts(struct store *s, struct arena *a, const struct draft_choice *choice,
                  struct stored_draft_list *out, struct err *e)
{
    *out = (struct stored_draft_list){0};
    sqlite3_stmt *q =
        st_get(s,
               "SELECT " DRAFT_COLUMNS " FROM draft WHERE clip_id=?1 AND (?2=0 OR source_id=?2) "
               "AND (?3=0 OR state=0) ORDER BY at_us,id",
               e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, choice->clip);
    sqlite3_bind_int64(q, 2, choice->source);
    sqlite3_bind_int(q, 3, choice->waiting);
    return take_drafts(s, a, q, out, e);
}

bool store_draft_one(struct store *s, struct arena *a, int64_t id, struct stored_draft *out,
                     struct err *e)
{
    struct stored_draft_list l;
    sqlite3_stmt *q = st_get(s, "SELECT " DRAFT_COLUMNS " FROM draft WHERE id=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    if (!take_drafts(s, a, q, &l, e))
        return false;
    if (l.n == 0)
        return err_set(e, ERR_INPUT, "that draft is not there any more");
    *out = l.at[0];
    return true;
}

bool store_draft_counts(struct store *s, int64_t clip, struct draft_counts *out, struct err *e)
{
    *out = (struct draft_counts){0};
    sqlite3_stmt *q =
        st_get(s, "SELECT state,count(*) FROM draft WHERE clip_id=? GROUP BY state", e);
    bool ok = q != NULL;
    if (q)
        sqlite3_bind_int64(q, 1, clip);
    while (q && st_row(s, q, &ok, e)) {
        const int state = sqlite3_column_int(q, 0);
        *(state == DRAFT_ACCEPTED  ? &out->accepted
          : state == DRAFT_DROPPED ? &out->dropped
                                   : &out->waiting) = sqlite3_column_int64(q, 1);
    }
    return ok;
}

bool store_each_clip_drafts(struct store *s, void (*fn)(void *ctx, int64_t clip, int64_t waiting),
                            void *ctx, struct err *e)
{
    sqlite3_stmt *q =
        st_get(s, "SELECT clip_id,count(*) FROM draft WHERE state=0 GROUP BY clip_id", e);
    bool ok = q != NULL;
    while (q && st_row(s, q, &ok, e))
        fn(ctx, sqlite3_column_int64(q, 0), sqlite3_column_int64(q, 1));
    return ok;
}
