/* Shared by the files of this room only. */
#ifndef STORE_INSIDE_H
#define STORE_INSIDE_H

#include <sqlite3.h>

#include "store/store.h"

enum { STATEMENTS = 96, UNDO_STEPS = 2000 };

struct idmap {
    int *at; /* row id -> position + 1, 0 = none */
    int64_t n;
};

struct store {
    sqlite3 *db;
    char *path, *author;
    struct {
        const char *sql; /* a literal: compared by address */
        sqlite3_stmt *st;
    } kept[STATEMENTS];
    int n_kept;
    int depth; /* open steps */
    char what[100];
    sqlite3_session *session;
    int64_t version;
    struct idmap section_at, performer_at, fault_at, set_at;
    struct walk *walk; /* the rows being handed over, list.c */
};

extern const char *const store_schema[STORE_VERSION]; /* [i] takes a file from version i to i+1 */

/* A statement prepared once per literal, reset and unbound. NULL with e set. */
sqlite3_stmt *st_get(struct store *s, const char *sql, struct err *e);
bool st_run(struct store *s, const char *sql, struct err *e);   /* no result rows wanted */
bool st_done(struct store *s, sqlite3_stmt *st, struct err *e); /* steps to the end */
bool st_fail(struct store *s, struct err *e);                   /* the database's last error */
void st_text(sqlite3_stmt *st, int at, const char *text);       /* binds a copy */
void st_uid(sqlite3_stmt *st, int at);                          /* binds 16 random bytes */
const char *st_column(sqlite3_stmt *st, int at);                /* text, never NULL */
enum mark_state st_state(sqlite3_stmt *st, int at);
enum mark_state state_of(int stored); /* what is unknown counts as open */
/* Position or -1. */
static inline int idmap_find(const struct idmap *m, int64_t id)
{
    return (uint64_t)id < (uint64_t)m->n ? m->at[id] - 1 : -1; /* id 0 has none */
}
void idmap_set(struct idmap *m, int64_t id, int position);
void idmap_clear(struct idmap *m);

/* list.c: the functions its queries call; once per connection. */
bool list_functions(struct store *s, struct err *e);

#endif
