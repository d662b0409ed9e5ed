/* Shared by the files of this room only. */
#ifndef STORE_INSIDE_H
#define STORE_INSIDE_H

#include <sqlite3.h>

#include "store/store.h"

enum { STATEMENTS = 160, UNDO_STEPS = 2000 };

struct far_id {
    int64_t id;
    int position;
};

struct idmap {
    int *at; /* row id -> position + 1, 0 = none */
    int64_t n;
    struct far_id *far; /* ids too large for that, sorted */
    size_t n_far, far_cap;
    int64_t *ids; /* position -> row id */
    size_t n_ids, ids_cap;
};

/* What the file on disk looked like when we last knew that only show programs had written to it;
 * see ground.c. */
struct ground {
    bool known;
    int64_t size, mtime_ns;
    uint64_t digest;               /* of its bytes; 0 when that was not taken */
    unsigned char checkpoints[16]; /* of the log: salts, how much of it was carried over */
    bool lost;                     /* moved or written over: nothing is acknowledged any more */
    char why[200];
};

struct store {
    sqlite3 *db;
    char *path, *author;
    struct {
        const char *sql; /* a literal: compared by address */
        sqlite3_stmt *st;
    } kept[STATEMENTS];
    int n_kept;
    bool made; /* opened whole: from here on only steps write, see step_guard() */
    bool read_only;
    bool frozen;  /* read as it was at opening, whatever others write */
    int depth;    /* open steps */
    bool spoiled; /* a part of the open step failed: the whole of it will not be kept */
    bool written; /* something was kept since the log was last carried over */
    char what[100];
    sqlite3_session *session;
    int64_t refused_undo; /* the oldest step that could not be taken back when last tried; 0 none */
    struct ground ground;
    struct idmap section_at, performer_at, fault_at, set_at;
    struct walk *walk; /* the rows being handed over, list.c */
};

extern const char *const store_schema[STORE_VERSION]; /* [i] takes a file from version i to i+1 */

/* A statement prepared once per literal, reset and unbound. NULL with e set. */
sqlite3_stmt *st_get(struct store *s, const char *sql, struct err *e);
bool st_run(struct store *s, const char *sql, struct err *e);   /* no result rows wanted */
bool st_done(struct store *s, sqlite3_stmt *st, struct err *e); /* steps to the end */
bool st_fail(struct store *s, struct err *e);                   /* the database's last error */
bool st_damaged(struct store *s, const char *how, struct err *e);
/* The next row; at the end (or with *ok set to false and e) the statement is reset. */
bool st_row(struct store *s, sqlite3_stmt *st, bool *ok, struct err *e);
/* The first column of the first row, 0 without one. */
bool st_number(struct store *s, sqlite3_stmt *st, int64_t *out, struct err *e);
void st_text(sqlite3_stmt *st, int at, const char *text); /* binds a copy */
void st_uid(sqlite3_stmt *st, int at);                    /* binds 16 random bytes */
const char *st_column(sqlite3_stmt *st, int at);          /* text, never NULL */
enum mark_state st_state(sqlite3_stmt *st, int at);
enum mark_state state_of(int stored); /* what is unknown counts as open */

/* measured.c: the columns measured, measured_value, measured_error, measured_of, from `at` on. Read: of a
 * kind that only a newer program knows, or without a value, it is none. */
void st_bind_measure(sqlite3_stmt *st, int at, const struct measure *m);
struct measure st_measure(sqlite3_stmt *st, int at);
/* The columns x and y; false: not known. */
bool st_place(sqlite3_stmt *st, int at, double *x, double *y);

/* step.c. From then on a write that no step made is turned back when it would be committed. */
void step_guard(struct store *s);
/* Every function of this room that writes is a step of its own, or joins the open one:
 *     if (!step_open(s, "a name for undo", e)) return false;
 *     ... return step_close(s, ok, e);
 * step_close keeps the step when ok, else takes back all of it; it is called on every way out. A
 * part that failed spoils the whole. */
bool step_open(struct store *s, const char *what, struct err *e);
bool step_close(struct store *s, bool ok, struct err *e);

/* record.c: what the open step changes, for step.c. */
bool record_begin(struct store *s, struct err *e);
void record_drop(struct store *s);
bool record_keep(struct store *s, struct err *e);
int record_covers(void *unused, const char *table); /* is the table one that steps take back? */

/* undo.c */
/* Before rows go: their numbers are not given to others, so that taking it back finds them free. */
bool undo_keep_numbers(struct store *s, struct err *e);
/* The number of a new row, as SQL: never that of a row that could be done again. */
#define FRESH_ID(table)                                                                            \
    "(SELECT 1+max(coalesce((SELECT max(id) FROM " table "),0),coalesce((SELECT CAST(value AS "    \
    "INTEGER) FROM setting WHERE key='last " table "'),0)))"

/* changes.c: can SQLite read this change set to its end? */
bool changes_whole(const void *changes, size_t n);

/* ground.c: is the open file still the one at its path, written by show programs alone? */
bool ground_holds(struct store *s, struct err *e);
/* Is the file on a file system that several machines may write to? Refused then: the log needs
 * memory that all writers share. */
bool ground_is_local(const char *path, struct err *e);

/* shape.c: refuses a file whose tables are not exactly ours (a view or a trigger would run). */
bool shape_check(struct store *s, int version, struct err *e);

/* Position or -1. */
int idmap_far(const struct idmap *m, int64_t id);
static inline int idmap_find(const struct idmap *m, int64_t id)
{
    return (uint64_t)id < (uint64_t)m->n ? m->at[id] - 1 : idmap_far(m, id); /* id 0 has none */
}
void idmap_set(struct idmap *m, int64_t id, int position);
void idmap_sort(struct idmap *m);                      /* once all are in */
int64_t idmap_id(const struct idmap *m, int position); /* 0: none */
void idmap_clear(struct idmap *m);

/* list.c: the functions its queries call; once per connection. */
bool list_functions(struct store *s, struct err *e);

/* The rows of a mark's targets made anew from the mark. */
bool mark_targets_renew(struct store *s, const struct show *show, const struct mark *m,
                        struct err *e);

#endif
