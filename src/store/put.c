/* Writing the staff's tables: match by name, update what differs, add what is new, and mark as
 * removed what the table does not have any more. A row that marks speak of is kept readable. */
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

/* The statements of one kind of row. They bind ?1 name, ?2.. values, then author, time, place. */
struct kind {
    const char *find;   /* SELECT id, removed, same, place FROM .. ; ?1 name, ?2.. values */
    const char *last;   /* SELECT the first free place */
    const char *insert; /* name, values.., author, now, place, uid */
    const char *update; /* name, values.., author, now, place, id in the uid's position */
    const char *others; /* SELECT id, used FROM .. WHERE live AND id NOT IN kept */
    const char *remove; /* UPDATE .. SET removed_at=?1, kept=?3 WHERE id=?2 */
    int values;
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
    bind(q, row, ctx);
    if (sqlite3_step(q) == SQLITE_ROW)
        *out = (struct stored){
            .id = sqlite3_column_int64(q, 0),
            .removed = sqlite3_column_int(q, 1),
            .same = sqlite3_column_int(q, 2),
            .place = sqlite3_column_int(q, 3),
        };
    sqlite3_reset(q);
    return true;
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
                    bind_fn *bind, int place, bool stays, struct put_report *r, struct err *e)
{
    struct stored was;
    if (!find_row(s, k, row, ctx, bind, &was, e))
        return false;
    bool there = was.id != 0;
    if (there && stays)
        place = was.place;
    *(!there || was.removed ? &r->added : was.same ? &r->same : &r->changed) += 1;
    if (there && was.same && !was.removed && was.place == place)
        return keep_row(s, was.id, e); /* nothing to write, and it does not become newer */
    sqlite3_stmt *q = st_get(s, there ? k->update : k->insert, e);
    if (!q)
        return false;
    bind(q, row, ctx);
    bind_tail(s, q, k->values + 1, place);
    if (there)
        sqlite3_bind_int64(q, k->values + 4, was.id);
    else
        st_uid(q, k->values + 4);
    return st_done(s, q, e) && keep_row(s, there ? was.id : sqlite3_last_insert_rowid(s->db), e);
}

/* Behind the rows that stay, or from the beginning. */
static bool first_place(struct store *s, const struct kind *k, bool keep_others, int *out,
                        struct err *e)
{
    *out = 0;
    sqlite3_stmt *q = keep_others ? st_get(s, k->last, e) : NULL;
    if (!q)
        return !keep_others;
    if (sqlite3_step(q) == SQLITE_ROW)
        *out = sqlite3_column_int(q, 0);
    sqlite3_reset(q);
    return true;
}

static bool remove_others(struct store *s, const struct kind *k, struct put_report *r,
                          struct err *e)
{
    sqlite3_stmt *q = st_get(s, k->others, e), *gone = st_get(s, k->remove, e);
    if (!q || !gone)
        return false;
    int rc;
    while ((rc = sqlite3_step(q)) == SQLITE_ROW) {
        sqlite3_bind_int64(gone, 1, clock_wall_ms());
        sqlite3_bind_int64(gone, 2, sqlite3_column_int64(q, 0));
        sqlite3_bind_int(gone, 3, sqlite3_column_int(q, 1));
        if (!st_done(s, gone, e))
            break;
        *(sqlite3_column_int(q, 1) ? &r->kept : &r->removed) += 1;
    }
    sqlite3_reset(q);
    return rc == SQLITE_DONE || st_fail(s, e);
}

static bool put_all(struct store *s, const struct kind *k, const void *rows, size_t n, size_t size,
                    const void *ctx, bind_fn *bind, bool keep_others, struct put_report *r,
                    struct err *e)
{
    *r = (struct put_report){0};
    if (!store_begin(s, NULL, e))
        return false;
    bool ok = st_run(s,
                     "CREATE TEMP TABLE IF NOT EXISTS kept(id INTEGER PRIMARY KEY); "
                     "DELETE FROM kept",
                     e);
    int first = 0;
    ok = ok && first_place(s, k, keep_others, &first, e);
    for (size_t i = 0; ok && i < n; i++)
        ok = put_one(s, k, (const char *)rows + i * size, ctx, bind, first + (int)i, keep_others, r,
                     e);
    ok = ok && (keep_others || remove_others(s, k, r, e));
    if (!ok) {
        store_rollback(s);
        return false;
    }
    return store_commit(s, e);
}

/* --- sections ------------------------------------------------------------------------------ */

static const struct kind section_kind = {
    .find = "SELECT id, removed_at IS NOT NULL, name COLLATE BINARY IS ?1 AND parent IS ?2 AND "
            "key IS ?3 AND words IS ?4, place FROM section WHERE name=?1",
    .last = "SELECT coalesce(max(place)+1,0) FROM section",
    .insert = "INSERT INTO section(name,parent,key,words,author,made_at,changed_at,place,uid) "
              "VALUES(?1,?2,?3,?4,?5,?6,?6,?7,?8)",
    .update = "UPDATE section SET name=?1,parent=?2,key=?3,words=?4,author=?5,changed_at=?6,"
              "place=?7,removed_at=NULL WHERE id=?8",
    .others = "SELECT id, id IN (SELECT section_id FROM mark_target) FROM section WHERE removed_at "
              "IS NULL AND id NOT IN (SELECT id FROM kept)",
    .remove = "UPDATE section SET removed_at=?1,kept=?3 WHERE id=?2",
    .values = 4,
};

static void bind_section(sqlite3_stmt *q, const void *row, const void *ctx)
{
    (void)ctx;
    const struct section *x = row;
    st_text(q, 1, x->name);
    st_text(q, 2, x->parent);
    st_text(q, 3, x->key);
    st_text(q, 4, x->words);
}

bool store_put_sections(struct store *s, const struct section_list *l, bool keep_others,
                        struct put_report *r, struct err *e)
{
    return put_all(s, &section_kind, l->at, l->n, sizeof *l->at, NULL, bind_section, keep_others, r,
                   e);
}

/* --- faults -------------------------------------------------------------------------------- */

static const struct kind fault_kind = {
    .find = "SELECT id, removed_at IS NOT NULL, name COLLATE BINARY IS ?1 AND family IS ?2 AND "
            "key IS ?3 AND cause IS ?4 AND right IS ?5 AND words IS ?6, place FROM fault WHERE "
            "name=?1",
    .last = "SELECT coalesce(max(place)+1,0) FROM fault",
    .insert = "INSERT INTO fault(name,family,key,cause,right,words,author,made_at,changed_at,"
              "place,uid) VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?8,?9,?10)",
    .update = "UPDATE fault SET name=?1,family=?2,key=?3,cause=?4,right=?5,words=?6,author=?7,"
              "changed_at=?8,place=?9,removed_at=NULL WHERE id=?10",
    .others = "SELECT id, id IN (SELECT fault_id FROM mark WHERE removed_at IS NULL) FROM fault "
              "WHERE removed_at IS NULL AND id NOT IN (SELECT id FROM kept)",
    .remove = "UPDATE fault SET removed_at=?1,kept=?3 WHERE id=?2",
    .values = 6,
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
}

bool store_put_faults(struct store *s, const struct fault_list *l, bool keep_others,
                      struct put_report *r, struct err *e)
{
    return put_all(s, &fault_kind, l->at, l->n, sizeof *l->at, NULL, bind_fault, keep_others, r, e);
}

/* --- roster -------------------------------------------------------------------------------- */

static const struct kind performer_kind = {
    .find = "SELECT id, removed_at IS NOT NULL, label COLLATE BINARY IS ?1 AND name IS ?2 AND "
            "section_id IS ?3 AND number IS ?4, place FROM performer WHERE label=?1",
    .last = "SELECT coalesce(max(place)+1,0) FROM performer",
    .insert = "INSERT INTO performer(label,name,section_id,number,author,made_at,changed_at,place,"
              "uid) VALUES(?1,?2,?3,?4,?5,?6,?6,?7,?8)",
    .update = "UPDATE performer SET label=?1,name=?2,section_id=?3,number=?4,author=?5,"
              "changed_at=?6,place=?7,removed_at=NULL WHERE id=?8",
    .others = "SELECT id, EXISTS (SELECT 1 FROM mark_target t WHERE t.performer_id=performer.id) "
              "FROM performer WHERE removed_at IS NULL AND id NOT IN (SELECT id FROM kept)",
    .remove = "UPDATE performer SET removed_at=?1,kept=?3 WHERE id=?2",
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

bool store_put_roster(struct store *s, const struct show *show, const struct performer_list *l,
                      bool keep_others, struct put_report *r, struct err *e)
{
    /* Marks follow a performer who changed section, so that the list of the new section has them.
     */
    static const char follow[] =
        "UPDATE mark_target SET section_id=(SELECT section_id FROM performer p WHERE "
        "p.id=performer_id) WHERE performer_id IS NOT NULL AND section_id IS NOT (SELECT "
        "section_id FROM performer p WHERE p.id=performer_id)";
    if (!store_begin(s, NULL, e))
        return false;
    bool ok = put_all(s, &performer_kind, l->at, l->n, sizeof *l->at, show, bind_performer,
                      keep_others, r, e);
    if (!ok)
        return false;
    if (!st_run(s, follow, e)) {
        store_rollback(s);
        return false;
    }
    return store_commit(s, e);
}

/* --- sets ---------------------------------------------------------------------------------- */

static const struct kind set_kind = {
    .find = "SELECT id, removed_at IS NOT NULL, label COLLATE BINARY IS ?1 AND counts IS ?2 AND "
            "tempo IS ?3 AND tempo_end IS ?4 AND hold IS ?5 AND measures IS ?6 AND name IS ?7, "
            "place FROM drill_set WHERE label=?1",
    .last = "SELECT coalesce(max(place)+1,0) FROM drill_set",
    .insert = "INSERT INTO drill_set(label,counts,tempo,tempo_end,hold,measures,name,author,"
              "made_at,changed_at,place,uid) VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,?9,?10,?11)",
    .update = "UPDATE drill_set SET label=?1,counts=?2,tempo=?3,tempo_end=?4,hold=?5,measures=?6,"
              "name=?7,author=?8,changed_at=?9,place=?10,removed_at=NULL WHERE id=?11",
    .others = "SELECT id, id IN (SELECT set_id FROM anchor) FROM drill_set WHERE removed_at IS "
              "NULL AND id NOT IN (SELECT id FROM kept)",
    .remove = "UPDATE drill_set SET removed_at=?1 WHERE id=?2 AND ?3 IS NOT NULL",
    .values = 7,
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
}

bool store_put_sets(struct store *s, const struct set_list *l, bool keep_others,
                    struct put_report *r, struct err *e)
{
    return put_all(s, &set_kind, l->at, l->n, sizeof *l->at, NULL, bind_set, keep_others, r, e);
}

/* --- dots ---------------------------------------------------------------------------------- */

static bool put_dot(struct store *s, const struct show *show, const struct dot *d,
                    struct put_report *r, struct err *e)
{
    sqlite3_stmt *q = st_get(s,
                             "INSERT INTO dot VALUES(?1,?2,?3,?4) ON CONFLICT(performer_id,set_id) "
                             "DO UPDATE SET x=?3,y=?4 WHERE x IS NOT ?3 OR y IS NOT ?4",
                             e),
                 *there = st_get(s, "SELECT 1 FROM dot WHERE performer_id=? AND set_id=?", e);
    if (!q || !there)
        return false;
    sqlite3_bind_int64(there, 1, show->performers[d->performer].id);
    sqlite3_bind_int64(there, 2, show->sets[d->set].id);
    bool was = sqlite3_step(there) == SQLITE_ROW;
    sqlite3_reset(there);
    sqlite3_bind_int64(q, 1, show->performers[d->performer].id);
    sqlite3_bind_int64(q, 2, show->sets[d->set].id);
    sqlite3_bind_double(q, 3, d->x);
    sqlite3_bind_double(q, 4, d->y);
    if (!st_done(s, q, e))
        return false;
    *(!was ? &r->added : sqlite3_changes(s->db) ? &r->changed : &r->same) += 1;
    return true;
}

bool store_put_dots(struct store *s, const struct show *show, const struct dot_list *l,
                    bool keep_others, struct put_report *r, struct err *e)
{
    *r = (struct put_report){0};
    if (!store_begin(s, NULL, e))
        return false;
    int64_t before = 0;
    sqlite3_stmt *q = st_get(s, "SELECT count(*) FROM dot", e);
    bool ok = q != NULL;
    if (q && sqlite3_step(q) == SQLITE_ROW)
        before = sqlite3_column_int64(q, 0);
    if (q)
        sqlite3_reset(q);
    for (size_t i = 0; ok && i < l->n; i++)
        ok = put_dot(s, show, &l->at[i], r, e);
    if (ok && !keep_others && before > r->changed + r->same) {
        ok = st_run(s,
                    "CREATE TEMP TABLE IF NOT EXISTS kept_dot(p INTEGER, t INTEGER, PRIMARY "
                    "KEY(p,t)); DELETE FROM kept_dot",
                    e);
        for (size_t i = 0; ok && i < l->n; i++) {
            q = st_get(s, "INSERT INTO kept_dot VALUES(?,?)", e);
            ok = q != NULL;
            if (!ok)
                break;
            sqlite3_bind_int64(q, 1, show->performers[l->at[i].performer].id);
            sqlite3_bind_int64(q, 2, show->sets[l->at[i].set].id);
            ok = st_done(s, q, e);
        }
        ok = ok && st_run(s,
                          "DELETE FROM dot WHERE NOT EXISTS (SELECT 1 FROM kept_dot WHERE "
                          "p=performer_id AND t=set_id)",
                          e);
        r->removed = ok ? sqlite3_changes(s->db) : 0;
    }
    if (!ok) {
        store_rollback(s);
        return false;
    }
    return store_commit(s, e);
}
