/* Writing the staff's tables: match by name, update what differs, add what is new, and mark as
 * removed what the table does not have any more. A row that marks speak of is kept readable. */
#include <stdlib.h>
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

/* The statements of one kind of row. They bind ?1 name, ?2.. values, then author, time, place. */
struct kind {
    const char *name;   /* of the step */
    const char *find;   /* SELECT id, removed, same, place FROM .. ; ?1 name, ?2.. values */
    const char *last;   /* SELECT the first free place */
    const char *insert; /* name, values.., author, now, place, uid */
    const char *update; /* name, values.., author, now, place, id in the uid's position */
    const char *others; /* SELECT id, used FROM .. WHERE live AND id NOT IN kept */
    const char *remove; /* UPDATE .. SET removed_at=?1, kept=?3 WHERE id=?2 */
    const char *order;  /* SELECT id of live rows in their order */
    const char *place;  /* UPDATE .. SET place=?1 WHERE id=?2, where it is another */
    int values;
};

/* Rows of the table as they went in. */
struct placed {
    int64_t id;
    bool fresh;
};
struct placing {
    bool stays; /* rows that are there stay where they are until all are in */
    int first;  /* place of a new row, and of the first row where none stays */
    struct placed *at;
    size_t n;
};

typedef void bind_fn(sqlite3_stmt *st, const void *row, const void *ctx);

static void bind_tail(struct store *s, sqlite3_stmt *q, int from, int place)
{
    st_text(q, from, s->author);
    sqlite3_bind_int64(q, from + 1, clock_wall_ms());
    sqlite3_bind_int(q, from + 2, place);
}

struct stored {
    int64_t id; /* 0: not there */
    bool removed, same;
    int place;
};

static bool find_row(struct store *s, const struct kind *k, const void *row, const void *ctx,
                     bind_fn *bind, struct stored *out, struct err *e)
{
    *out = (struct stored){0};
    sqlite3_stmt *q = st_get(s, k->find, e);
    if (!q)
        return false;
    bool ok = true;
    bind(q, row, ctx);
    if (st_row(s, q, &ok, e))
        *out = (struct stored){
            .id = sqlite3_column_int64(q, 0),
            .removed = sqlite3_column_int(q, 1),
            .same = sqlite3_column_int(q, 2),
            .place = sqlite3_column_int(q, 3),
        };
    sqlite3_reset(q);
    return ok;
}

static bool keep_row(struct store *s, int64_t id, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "INSERT OR IGNORE INTO kept VALUES(?)", e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, id);
    return st_done(s, q, e);
}

/* place: where a new row stands; `stays`: one that is there stays where it is. */
static bool put_one(struct store *s, const struct kind *k, const void *row, const void *ctx,
                    bind_fn *bind, struct placing *p, struct put_report *r, struct err *e)
{
    struct stored was;
    if (!find_row(s, k, row, ctx, bind, &was, e))
        return false;
    bool there = was.id != 0;
    int place = there && p->stays ? was.place : p->first + (int)p->n;
    *(!there || was.removed ? &r->added : was.same ? &r->same : &r->changed) += 1;
    bool fresh = !there || was.removed;
    bool ok = true;
    if (fresh || !was.same || was.place != place) { /* else it would become newer for nothing */
        sqlite3_stmt *q = st_get(s, there ? k->update : k->insert, e);
        if (!q)
            return false;
        bind(q, row, ctx);
        bind_tail(s, q, k->values + 1, place);
        if (there)
            sqlite3_bind_int64(q, k->values + 4, was.id);
        else
            st_uid(q, k->values + 4);
        ok = st_done(s, q, e);
    }
    p->at[p->n++] = (struct placed){there ? was.id : sqlite3_last_insert_rowid(s->db), fresh};
    return ok && keep_row(s, p->at[p->n - 1].id, e);
}

/* --- where rows stand ------------------------------------------------------------------------ */

static size_t position(const int64_t *order, size_t n, int64_t id)
{
    size_t i = 0;
    while (i < n && order[i] != id)
        i++;
    return i;
}

static void insert_at(int64_t *order, size_t *n, size_t at, int64_t id)
{
    memmove(order + at + 1, order + at, (*n - at) * sizeof *order);
    order[at] = id;
    (*n)++;
}

/* A new row stands behind the one before it in the table; the first ones before the row that
 * follows them there; without any, at the end. */
static size_t place_of(const struct placing *p, size_t row, const int64_t *order, size_t n)
{
    if (row > 0)
        return position(order, n, p->at[row - 1].id) + 1;
    for (size_t i = 1; i < p->n; i++)
        if (!p->at[i].fresh)
            return position(order, n, p->at[i].id);
    return n;
}

/* A table that has every row says the order; one that has some of them says it for its new rows. */
static size_t order_of(const struct placing *p, int64_t *order, size_t n)
{
    size_t known = 0;
    for (size_t i = 0; i < p->n; i++)
        known += !p->at[i].fresh;
    if (known >= n) {
        for (size_t i = 0; i < p->n; i++)
            order[i] = p->at[i].id;
        return p->n;
    }
    for (size_t i = 0; i < p->n; i++)
        if (p->at[i].fresh)
            insert_at(order, &n, place_of(p, i, order, n), p->at[i].id);
    return n;
}

/* The live rows that were there before this table, in their order. */
static bool old_order(struct store *s, const struct kind *k, const struct placing *p,
                      int64_t **order, size_t *n, struct err *e)
{
    size_t cap = 0;
    bool ok = true;
    sqlite3_stmt *q = st_get(s, k->order, e);
    *order = NULL;
    *n = 0;
    if (!q)
        return false;
    while (st_row(s, q, &ok, e)) {
        int64_t id = sqlite3_column_int64(q, 0);
        bool fresh = false;
        for (size_t i = 0; i < p->n && !fresh; i++)
            fresh = p->at[i].fresh && p->at[i].id == id;
        if (fresh)
            continue;
        *order = array_grow(*order, *n, &cap, sizeof **order);
        (*order)[(*n)++] = id;
    }
    return ok;
}

static bool put_places(struct store *s, const struct kind *k, const struct placing *p,
                       struct err *e)
{
    int64_t *order;
    size_t n;
    bool ok = old_order(s, k, p, &order, &n, e);
    order = xrealloc(order, (n + p->n + 1) * sizeof *order);
    n = order_of(p, order, n);
    for (size_t i = 0; ok && i < n; i++) {
        sqlite3_stmt *q = st_get(s, k->place, e);
        ok = q != NULL;
        if (!ok)
            break;
        sqlite3_bind_int(q, 1, (int)i);
        sqlite3_bind_int64(q, 2, order[i]);
        ok = st_done(s, q, e);
    }
    free(order);
    return ok;
}

/* Behind the rows that stay, or from the beginning. */
static bool first_place(struct store *s, const struct kind *k, bool keep_others, int *out,
                        struct err *e)
{
    *out = 0;
    sqlite3_stmt *q = keep_others ? st_get(s, k->last, e) : NULL;
    int64_t place = 0;
    if (!q)
        return !keep_others;
    bool ok = st_number(s, q, &place, e);
    *out = (int)place;
    return ok;
}

static bool remove_row(struct store *s, const struct kind *k, int64_t id, bool used, struct err *e)
{
    sqlite3_stmt *q = st_get(s, k->remove, e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, clock_wall_ms());
    sqlite3_bind_int64(q, 2, id);
    sqlite3_bind_int(q, 3, used);
    return st_done(s, q, e);
}

static bool remove_others(struct store *s, const struct kind *k, struct put_report *r,
                          struct err *e)
{
    struct other {
        int64_t id;
        bool used;
    } *at = NULL;
    size_t n = 0, cap = 0;
    bool ok = true;
    sqlite3_stmt *q = st_get(s, k->others, e);
    if (!q)
        return false;
    while (st_row(s, q, &ok, e)) {
        at = array_grow(at, n, &cap, sizeof *at);
        at[n++] = (struct other){sqlite3_column_int64(q, 0), sqlite3_column_int(q, 1)};
    }
    for (size_t i = 0; ok && i < n; i++) {
        ok = remove_row(s, k, at[i].id, at[i].used, e);
        *(at[i].used ? &r->kept : &r->removed) += ok;
    }
    free(at);
    return ok;
}

struct rows {
    const void *at;
    size_t n, size;
    const void *ctx;
};

static bool put_all(struct store *s, const struct kind *k, const struct rows *rows, bind_fn *bind,
                    bool keep_others, struct put_report *r, struct err *e)
{
    *r = (struct put_report){0};
    if (!step_open(s, k->name, e))
        return false;
    bool ok = st_run(s,
                     "CREATE TEMP TABLE IF NOT EXISTS kept(id INTEGER PRIMARY KEY); "
                     "DELETE FROM kept",
                     e);
    struct placing p = {.stays = keep_others, .at = xcalloc(rows->n + 1, sizeof *p.at)};
    ok = ok && first_place(s, k, keep_others, &p.first, e);
    for (size_t i = 0; ok && i < rows->n; i++)
        ok = put_one(s, k, (const char *)rows->at + i * rows->size, rows->ctx, bind, &p, r, e);
    ok = ok && (keep_others ? put_places(s, k, &p, e) : remove_others(s, k, r, e));
    free(p.at);
    return step_close(s, ok, e);
}

/* Targets of drafts that wait, as they are now. */
#define OF_WAITING "heard=0 AND draft_id IN (SELECT id FROM draft WHERE state=0)"

/* --- sections ------------------------------------------------------------------------------ */

static const struct kind section_kind = {
    .name = "add sections",
    .find = "SELECT id, removed_at IS NOT NULL, name COLLATE BINARY IS ?1 AND parent IS ?2 AND "
            "key IS ?3 AND words IS ?4 AND say IS ?5, place FROM section WHERE name=?1",
    .last = "SELECT coalesce(max(place)+1,0) FROM section",
    .insert =
        "INSERT INTO section(id,name,parent,key,words,say,author,made_at,changed_at,place,uid) "
        "VALUES(" FRESH_ID("section") ",?1,?2,?3,?4,?5,?6,?7,?7,?8,?9)",
    .update = "UPDATE section SET name=?1,parent=?2,key=?3,words=?4,say=?5,author=?6,changed_at=?7,"
              "place=?8,removed_at=NULL WHERE id=?9",
    .others = "SELECT id, id IN (SELECT section_id FROM mark_target UNION SELECT section_id FROM "
              "draft_target WHERE " OF_WAITING
              ") FROM section WHERE removed_at IS NULL AND id NOT IN (SELECT id FROM kept)",
    .remove = "UPDATE section SET removed_at=?1,kept=?3 WHERE id=?2",
    .order = "SELECT id FROM section WHERE removed_at IS NULL ORDER BY place,id",
    .place = "UPDATE section SET place=?1 WHERE id=?2 AND place<>?1",
    .values = 5,
};

static void bind_section(sqlite3_stmt *q, const void *row, const void *ctx)
{
    (void)ctx;
    const struct section *x = row;
    st_text(q, 1, x->name);
    st_text(q, 2, x->parent);
    st_text(q, 3, x->key);
    st_text(q, 4, x->words);
    st_text(q, 5, x->say);
}

bool store_put_sections(struct store *s, const struct section_list *l, bool keep_others,
                        struct put_report *r, struct err *e)
{
    struct rows rows = {l->at, l->n, sizeof *l->at, NULL};
    return put_all(s, &section_kind, &rows, bind_section, keep_others, r, e);
}

/* --- faults -------------------------------------------------------------------------------- */

static const struct kind fault_kind = {
    .name = "add faults",
    .find = "SELECT id, removed_at IS NOT NULL, name COLLATE BINARY IS ?1 AND family IS ?2 AND "
            "key IS ?3 AND cause IS ?4 AND right IS ?5 AND words IS ?6 AND together IS ?7 "
            "AND say IS ?8, place FROM fault WHERE name=?1",
    .last = "SELECT coalesce(max(place)+1,0) FROM fault",
    .insert = "INSERT INTO "
              "fault(id,name,family,key,cause,right,words,together,say,author,made_at,changed_at,"
              "place,uid) VALUES(" FRESH_ID("fault") ",?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?10,?11,?12)",
    .update = "UPDATE fault SET name=?1,family=?2,key=?3,cause=?4,right=?5,words=?6,together=?7,"
              "say=?8,author=?9,changed_at=?10,place=?11,removed_at=NULL WHERE id=?12",
    .others = "SELECT id, id IN (SELECT fault_id FROM mark WHERE removed_at IS NULL UNION SELECT "
              "fault_id FROM draft WHERE state=0 AND fault_id IS NOT NULL) FROM fault "
              "WHERE removed_at IS NULL AND id NOT IN (SELECT id FROM kept)",
    .remove = "UPDATE fault SET removed_at=?1,kept=?3 WHERE id=?2",
    .order = "SELECT id FROM fault WHERE removed_at IS NULL ORDER BY place,id",
    .place = "UPDATE fault SET place=?1 WHERE id=?2 AND place<>?1",
    .values = 8,
};

static void bind_fault(sqlite3_stmt *q, const void *row, const void *ctx)
{
    (void)ctx;
    const struct fault *x = row;
    st_text(q, 1, x->name);
    st_text(q, 2, x->family);
    st_text(q, 3, x->key);
    sqlite3_bind_int(q, 4, x->cause);
    st_text(q, 5, x->right);
    st_text(q, 6, x->words);
    sqlite3_bind_int(q, 7, x->together);
    st_text(q, 8, x->say);
}

bool store_put_faults(struct store *s, const struct fault_list *l, bool keep_others,
                      struct put_report *r, struct err *e)
{
    struct rows rows = {l->at, l->n, sizeof *l->at, NULL};
    return put_all(s, &fault_kind, &rows, bind_fault, keep_others, r, e);
}

/* --- roster -------------------------------------------------------------------------------- */

static const struct kind performer_kind = {
    .name = "add roster",
    .find = "SELECT id, removed_at IS NOT NULL, label COLLATE BINARY IS ?1 AND name IS ?2 AND "
            "section_id IS ?3 AND number IS ?4, place FROM performer WHERE label=?1",
    .last = "SELECT coalesce(max(place)+1,0) FROM performer",
    .insert =
        "INSERT INTO performer(id,label,name,section_id,number,author,made_at,changed_at,place,"
        "uid) VALUES(" FRESH_ID("performer") ",?1,?2,?3,?4,?5,?6,?6,?7,?8)",
    .update = "UPDATE performer SET label=?1,name=?2,section_id=?3,number=?4,author=?5,"
              "changed_at=?6,place=?7,removed_at=NULL WHERE id=?8",
    .others =
        "SELECT id, EXISTS (SELECT 1 FROM mark_target t WHERE t.performer_id=performer.id) OR id "
        "IN (SELECT performer_id FROM draft_target WHERE performer_id IS NOT NULL AND " OF_WAITING
        ") "
        "FROM performer WHERE removed_at IS NULL AND id NOT IN (SELECT id FROM kept)",
    .remove = "UPDATE performer SET removed_at=?1,kept=?3 WHERE id=?2",
    .order = "SELECT id FROM performer WHERE removed_at IS NULL ORDER BY place,id",
    .place = "UPDATE performer SET place=?1 WHERE id=?2 AND place<>?1",
    .values = 4,
};

static void bind_performer(sqlite3_stmt *q, const void *row, const void *ctx)
{
    const struct performer *x = row;
    const struct show *show = ctx;
    st_text(q, 1, x->label);
    st_text(q, 2, x->name);
    sqlite3_bind_int64(q, 3, show->sections[x->section].id);
    sqlite3_bind_int(q, 4, x->number);
}

/* So do drafts: all of them, since a table is what moves people. */
static bool drafts_follow(struct store *s, struct err *e)
{
    sqlite3_stmt *q =
        st_get(s,
               "UPDATE draft_target SET section_id=(SELECT section_id FROM performer p WHERE "
               "p.id=performer_id) WHERE performer_id IS NOT NULL AND section_id IS NOT (SELECT "
               "section_id FROM performer p WHERE p.id=performer_id)",
               e);
    return q && st_done(s, q, e);
}

bool store_follow_roster(struct store *s, int64_t mark, struct err *e)
{
    if (!step_open(s, NULL, e))
        return false;
    sqlite3_stmt *q = st_get(
        s,
        "UPDATE mark_target SET section_id=(SELECT section_id FROM performer p WHERE "
        "p.id=performer_id) WHERE (?1=0 OR mark_id=?1) AND performer_id IS NOT NULL AND section_id "
        "IS NOT (SELECT section_id FROM performer p WHERE p.id=performer_id)",
        e);
    if (q)
        sqlite3_bind_int64(q, 1, mark);
    return step_close(s, q && st_done(s, q, e) && (mark != 0 || drafts_follow(s, e)), e);
}

bool store_put_roster(struct store *s, const struct performer_list *l, bool keep_others,
                      struct put_report *r, struct err *e)
{
    if (!step_open(s, "add roster", e))
        return false;
    struct rows rows = {l->at, l->n, sizeof *l->at, l->show};
    bool ok = put_all(s, &performer_kind, &rows, bind_performer, keep_others, r, e) &&
              store_follow_roster(s, 0, e);
    return step_close(s, ok, e);
}

/* --- sets ---------------------------------------------------------------------------------- */

static const struct kind set_kind = {
    .name = "add sets",
    .find = "SELECT id, removed_at IS NOT NULL, label COLLATE BINARY IS ?1 AND counts IS ?2 AND "
            "tempo IS ?3 AND tempo_end IS ?4 AND hold IS ?5 AND measures IS ?6 AND name IS ?7 "
            "AND path IS ?8, place FROM drill_set WHERE label=?1",
    .last = "SELECT coalesce(max(place)+1,0) FROM drill_set",
    .insert =
        "INSERT INTO drill_set(id,label,counts,tempo,tempo_end,hold,measures,name,path,author,"
        "made_at,changed_at,place,uid) VALUES(" FRESH_ID(
            "drill_set") ",?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?10,?11,?12)",
    .update = "UPDATE drill_set SET label=?1,counts=?2,tempo=?3,tempo_end=?4,hold=?5,measures=?6,"
              "name=?7,path=?8,author=?9,changed_at=?10,place=?11,removed_at=NULL WHERE id=?12",
    .others = "SELECT id, id IN (SELECT set_id FROM anchor) FROM drill_set WHERE removed_at IS "
              "NULL AND id NOT IN (SELECT id FROM kept)",
    .remove = "UPDATE drill_set SET removed_at=?1 WHERE id=?2 AND ?3 IS NOT NULL",
    .order = "SELECT id FROM drill_set WHERE removed_at IS NULL ORDER BY place,id",
    .place = "UPDATE drill_set SET place=?1 WHERE id=?2 AND place<>?1",
    .values = 8,
};

static void bind_set(sqlite3_stmt *q, const void *row, const void *ctx)
{
    (void)ctx;
    const struct set *x = row;
    st_text(q, 1, x->label);
    sqlite3_bind_int(q, 2, x->counts);
    sqlite3_bind_double(q, 3, x->tempo);
    sqlite3_bind_double(q, 4, x->tempo_end);
    sqlite3_bind_double(q, 5, x->hold);
    sqlite3_bind_int(q, 6, x->measures);
    st_text(q, 7, x->name);
    st_text(q, 8, x->path ? x->path : "");
}

bool store_put_sets(struct store *s, const struct set_list *l, bool keep_others,
                    struct put_report *r, struct err *e)
{
    struct rows rows = {l->at, l->n, sizeof *l->at, NULL};
    return put_all(s, &set_kind, &rows, bind_set, keep_others, r, e);
}
