/* Drafts into the show file. */
#include "store/draft.h"

#include <string.h>

#include "base/buf.h"
#include "store/inside.h"
#include "sys/clock.h"

/* --- sources --------------------------------------------------------------------------------- */

static bool put_source(struct store *s, struct draft_source *src, struct err *e)
{
    sqlite3_stmt *q =
        src->id ? st_get(s,
                         "UPDATE draft_source SET clip_id=?1,kind=?2,name=?3,path=?4,digest=?5,"
                         "offset_us=?6,rate=?7,author=?8,changed_at=?9 WHERE id=?10",
                         e)
                : st_get(s,
                         "INSERT INTO draft_source(clip_id,kind,name,path,digest,offset_us,rate,"
                         "author,made_at,changed_at,uid,id) VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,?9,"
                         "?10," FRESH_ID("draft_source") ")",
                         e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, src->clip);
    st_text(q, 2, src->kind);
    st_text(q, 3, src->name);
    st_text(q, 4, src->path);
    st_text(q, 5, src->digest);
    sqlite3_bind_int64(q, 6, src->offset_us);
    sqlite3_bind_double(q, 7, src->rate > 0 ? src->rate : 1);
    st_text(q, 8, s->author);
    sqlite3_bind_int64(q, 9, clock_wall_ms());
    if (src->id)
        sqlite3_bind_int64(q, 10, src->id);
    else
        st_uid(q, 10);
    if (!st_done(s, q, e))
        return false;
    if (!src->id)
        src->id = sqlite3_last_insert_rowid(s->db);
    return true;
}

bool store_draft_source_put(struct store *s, struct draft_source *src, struct err *e)
{
    return step_open(s, "a source of drafts", e) && step_close(s, put_source(s, src, e), e);
}

/* --- targets --------------------------------------------------------------------------------- */

struct writing {
    const struct show *show;
    int64_t draft;
    bool heard;
    const struct draft_target *at;
    size_t n;
};

static bool put_targets(struct store *s, const struct writing *w, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "INSERT INTO draft_target VALUES(?,?,?,?,?)", e);
    for (size_t i = 0; q && i < w->n; i++) {
        sqlite3_reset(q);
        sqlite3_clear_bindings(q);
        sqlite3_bind_int64(q, 1, w->draft);
        sqlite3_bind_int(q, 2, w->heard);
        sqlite3_bind_int(q, 3, (int)i);
        sqlite3_bind_int64(q, 4, w->show->sections[w->at[i].section].id);
        if (w->at[i].performer >= 0)
            sqlite3_bind_int64(q, 5, w->show->performers[w->at[i].performer].id);
        if (!st_done(s, q, e))
            return false;
    }
    return q != NULL;
}

static bool renew_targets(struct store *s, const struct writing *w, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "DELETE FROM draft_target WHERE draft_id=? AND heard=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, w->draft);
    sqlite3_bind_int(q, 2, w->heard);
    return st_done(s, q, e) && put_targets(s, w, e);
}

/* --- rows ------------------------------------------------------------------------------------ */

static void bind_fault(sqlite3_stmt *q, int at, const struct show *show, int fault)
{
    if (fault >= 0)
        sqlite3_bind_int64(q, at, show->faults[fault].id);
}

/* A line each; what holds lines itself becomes one. */
static void bind_words(sqlite3_stmt *q, int at, const char *const *words, size_t n)
{
    struct buf text = {0};
    for (size_t i = 0; i < n; i++) {
        if (i)
            buf_char(&text, '\n');
        for (const char *c = words[i]; *c; c++)
            buf_char(&text, *c == '\n' ? ' ' : *c);
    }
    st_text(q, at, buf_text(&text));
    buf_free(&text);
}

/* All that is proposed, as ?1 to ?15. */
static void bind_proposed(sqlite3_stmt *q, const struct show *show, const struct stored_draft *x)
{
    const struct draft *d = &x->d;
    sqlite3_bind_int64(q, 1, d->at_us);
    sqlite3_bind_int64(q, 2, d->end_us);
    sqlite3_bind_int64(q, 3, d->said_us);
    sqlite3_bind_int64(q, 4, x->said_end_us);
    sqlite3_bind_int(q, 5, d->one);
    bind_fault(q, 6, show, d->fault);
    sqlite3_bind_int(q, 7, d->praise);
    sqlite3_bind_int(q, 8, d->cause);
    sqlite3_bind_int(q, 9,
                     d->severity < SEVERITY_LEAST  ? SEVERITY_LEAST
                     : d->severity > SEVERITY_MOST ? SEVERITY_MOST
                                                   : d->severity);
    if (d->unit != DRAFT_NO_SIZE)
        sqlite3_bind_double(q, 10, d->size);
    st_text(q, 11, draft_unit_name(d->unit));
    sqlite3_bind_double(q, 12, d->confidence >= 0 && d->confidence <= 1 ? d->confidence : 0);
    st_text(q, 13, d->quote);
    bind_words(q, 14, d->words, d->n_words);
    bind_fault(q, 15, show, x->heard_fault);
}

static bool put_all_targets(struct store *s, const struct show *show, const struct stored_draft *d,
                            struct err *e)
{
    const struct writing now = {show, d->id, false, d->d.targets, d->d.n_targets};
    const struct writing heard = {show, d->id, true, d->heard, d->n_heard};
    return renew_targets(s, &now, e) && renew_targets(s, &heard, e);
}

static void bind_author(struct store *s, sqlite3_stmt *q, int at)
{
    st_text(q, at, s->author);
    sqlite3_bind_int64(q, at + 1, clock_wall_ms());
}

bool store_draft_add(struct store *s, const struct show *show, struct stored_draft *d,
                     struct err *e)
{
    if (!step_open(s, "a draft", e))
        return false;
    sqlite3_stmt *q =
        st_get(s,
               "INSERT INTO draft(at_us,end_us,said_us,said_end_us,one,fault_id,praise,cause,"
               "severity,size,unit,confidence,quote,words,heard_fault_id,author,made_at,changed_at,"
               "clip_id,source_id,touched,uid,state,id) VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,"
               "?12,?13,?14,?15,?16,?17,?17,?18,?19,?20,?21,0," FRESH_ID("draft") ")",
               e);
    bool ok = q != NULL;
    if (ok) {
        bind_proposed(q, show, d);
        bind_author(s, q, 16);
        sqlite3_bind_int64(q, 18, d->clip);
        sqlite3_bind_int64(q, 19, d->source);
        sqlite3_bind_int(q, 20, d->touched);
        st_uid(q, 21);
        ok = st_done(s, q, e);
    }
    if (ok)
        d->id = sqlite3_last_insert_rowid(s->db);
    return step_close(s, ok && put_all_targets(s, show, d, e), e);
}

/* Why a row that waits was not found. */
static bool not_waiting(struct store *s, int64_t id, struct err *e)
{
    int64_t state = -1;
    bool ok = true;
    sqlite3_stmt *q = st_get(s, "SELECT state FROM draft WHERE id=?", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    if (st_row(s, q, &ok, e)) {
        state = sqlite3_column_int64(q, 0);
        sqlite3_reset(q);
    }
    if (!ok)
        return false;
    return err_set(e, ERR_INPUT,
                   state == DRAFT_ACCEPTED  ? "that draft was accepted already"
                   : state == DRAFT_DROPPED ? "that draft was dropped already"
                                            : "that draft is not there any more");
}

/* Runs a statement that speaks of one draft that waits. */
static bool done_waiting(struct store *s, sqlite3_stmt *q, int64_t id, struct err *e)
{
    return st_done(s, q, e) && (sqlite3_changes(s->db) > 0 || not_waiting(s, id, e));
}

bool store_draft_renew(struct store *s, const struct show *show, const struct stored_draft *d,
                       struct err *e)
{
    if (!step_open(s, "a draft heard again", e))
        return false;
    sqlite3_stmt *q =
        st_get(s,
               "UPDATE draft SET at_us=?1,end_us=?2,said_us=?3,said_end_us=?4,one=?5,fault_id=?6,"
               "praise=?7,cause=?8,severity=?9,size=?10,unit=?11,confidence=?12,quote=?13,"
               "words=?14,heard_fault_id=?15,author=?16,changed_at=?17 WHERE id=?18 AND state=0",
               e);
    if (q) {
        bind_proposed(q, show, d);
        bind_author(s, q, 16);
        sqlite3_bind_int64(q, 18, d->id);
    }
    return step_close(s, q && done_waiting(s, q, d->id, e) && put_all_targets(s, show, d, e), e);
}

static bool remove_row(struct store *s, const char *sql, int64_t id, struct err *e)
{
    sqlite3_stmt *q = st_get(s, sql, e);
    if (q)
        sqlite3_bind_int64(q, 1, id);
    return q && st_done(s, q, e);
}

bool store_draft_remove(struct store *s, int64_t id, struct err *e)
{
    return step_open(s, "take a draft away", e) &&
           step_close(s,
                      undo_keep_numbers(s, e) &&
                          remove_row(s, "DELETE FROM draft_target WHERE draft_id=?", id, e) &&
                          remove_row(s, "DELETE FROM draft WHERE id=?", id, e),
                      e);
}

/* --- changes --------------------------------------------------------------------------------- */

/* One statement for any choice of fields, as for marks. */
static bool change_row(struct store *s, const struct show *show, int64_t id,
                       const struct draft_change *c, struct err *e)
{
    sqlite3_stmt *q =
        st_get(s,
               "UPDATE draft SET touched=1,changed_at=?2,one=coalesce(?3,one),fault_id=CASE WHEN "
               "?4 THEN ?5 ELSE fault_id END,praise=coalesce(?6,praise),severity=coalesce(?7,"
               "severity),cause=coalesce(?8,cause),at_us=coalesce(?9,at_us),end_us=coalesce(?10,"
               "end_us),said_us=coalesce(?11,said_us),said_end_us=coalesce(?12,said_end_us),quote="
               "coalesce(?13,quote),words=coalesce(?14,words) WHERE id=?1 AND state=0",
               e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    sqlite3_bind_int64(q, 2, clock_wall_ms());
    if (c->fields & DRAFT_WHO)
        sqlite3_bind_int(q, 3, c->one);
    sqlite3_bind_int(q, 4, (c->fields & DRAFT_FAULT) != 0);
    bind_fault(q, 5, show, c->fields & DRAFT_FAULT ? c->fault : -1);
    if (c->fields & DRAFT_PRAISE)
        sqlite3_bind_int(q, 6, c->praise);
    if (c->fields & DRAFT_SEVERITY)
        sqlite3_bind_int(q, 7, c->severity);
    if (c->fields & DRAFT_CAUSE)
        sqlite3_bind_int(q, 8, c->cause);
    if (c->fields & DRAFT_PART) {
        sqlite3_bind_int64(q, 9, c->part.at_us);
        sqlite3_bind_int64(q, 10, c->part.end_us);
        sqlite3_bind_int64(q, 11, c->part.said_us);
        sqlite3_bind_int64(q, 12, c->part.said_end_us);
        st_text(q, 13, c->part.quote);
        bind_words(q, 14, c->part.words, c->part.n_words);
    }
    return done_waiting(s, q, id, e);
}

bool store_draft_change(struct store *s, const struct show *show, int64_t id,
                        const struct draft_change *c, struct err *e)
{
    const struct writing who = {show, id, false, c->targets, c->n_targets};
    return step_open(s, "change a draft", e) &&
           step_close(s,
                      change_row(s, show, id, c, e) &&
                          (!(c->fields & DRAFT_WHO) || renew_targets(s, &who, e)),
                      e);
}

bool store_draft_settle(struct store *s, int64_t id, enum draft_state state, int64_t mark,
                        struct err *e)
{
    if (!step_open(s, "a draft", e))
        return false;
    sqlite3_stmt *q =
        st_get(s, "UPDATE draft SET state=?2,mark_id=?3,changed_at=?4 WHERE id=?1 AND state=0", e);
    if (q) {
        sqlite3_bind_int64(q, 1, id);
        sqlite3_bind_int(q, 2, state);
        if (mark)
            sqlite3_bind_int64(q, 3, mark);
        sqlite3_bind_int64(q, 4, clock_wall_ms());
    }
    return step_close(s, q && done_waiting(s, q, id, e), e);
}
