#include "big_show.h"

#include <sqlite3.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "store/store.h"
#include "sys/file.h"

enum { LENGTH_US = 600000000, TABLE_LIMIT = 1 << 20 };

static void must(bool ok, const struct err *e)
{
    if (ok)
        return;
    fprintf(stderr, "%s\n", e->text);
    exit(1);
}

/* --- the band -------------------------------------------------------------------------------- */

struct making {
    struct store *store;
    struct arena memory;
    struct show show;
};

static const char *table(const char *name, struct buf *out)
{
    struct err e;
    char path[4096];
    snprintf(path, sizeof path, "%s/%s.csv", DEMO_BAND, name);
    buf_clear(out);
    must(file_read(path, TABLE_LIMIT, out, &e), &e);
    return buf_text(out);
}

static void put_band(struct making *m)
{
    struct err e;
    struct put_report r;
    struct buf csv = {0};
    struct section_list sections;
    struct fault_list faults;
    struct performer_list people;
    struct set_list sets;
    const char *text = table("sections", &csv);
    must(sections_read(&m->memory, &(struct table_text){text, csv.n, "sections.csv", NULL},
                       &sections, &e) &&
             store_put_sections(m->store, &sections, false, &r, &e) &&
             store_show(m->store, &m->memory, &m->show, &e),
         &e);
    text = table("faults", &csv);
    must(faults_read(&m->memory, &(struct table_text){text, csv.n, "faults.csv", NULL}, &faults,
                     &e) &&
             store_put_faults(m->store, &faults, false, &r, &e),
         &e);
    text = table("roster", &csv);
    must(roster_read(&m->memory, &m->show, &(struct table_text){text, csv.n, "roster.csv", NULL},
                     &people, &e) &&
             store_put_roster(m->store, &people, false, &r, &e),
         &e);
    text = table("sets", &csv);
    must(sets_read(&m->memory, &(struct table_text){text, csv.n, "sets.csv", NULL}, &sets, &e) &&
             store_put_sets(m->store, &sets, false, &r, &e) &&
             store_show(m->store, &m->memory, &m->show, &e),
         &e);
    buf_free(&csv);
}

static bool add_clips(struct store *store, void *ctx, struct err *e)
{
    (void)ctx;
    for (int i = 0; i < BIG_CLIPS; i++) {
        char label[24], date[16], path[32];
        snprintf(label, sizeof label, "run %d", i + 1);
        snprintf(path, sizeof path, "/clips/%d.mp4", i + 1);
        snprintf(date, sizeof date, "2026-09-%02d", 1 + i / 2);
        struct clip c = {.label = label,
                         .path = path,
                         .date = date,
                         .run = 1 + i % 2,
                         .length_us = LENGTH_US,
                         .sha256 = label,
                         .head_tail = ""};
        if (!store_clip_put(store, &c, e) ||
            !store_watched_add(store, c.id, &(struct stretch){0, LENGTH_US}, 1, e))
            return false;
    }
    return true;
}

static void put_clips(struct making *m)
{
    struct err e;
    must(store_step(m->store, NULL, add_clips, NULL, &e), &e);
}

/* --- marks ----------------------------------------------------------------------------------- */

static uint64_t seed = 1;

static uint32_t draw(void)
{
    seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)(seed >> 33);
}

/* 0 .. n-1, the first ones more often. */
static size_t draw_uneven(size_t n)
{
    const double x = (double)draw() / 2147483648.0;
    return (size_t)(x * x * (double)n);
}

struct writing {
    sqlite3 *db;
    sqlite3_stmt *mark, *target;
    const struct making *m;
};

static void fail(sqlite3 *db)
{
    fprintf(stderr, "%s\n", sqlite3_errmsg(db));
    exit(1);
}

static void run(sqlite3 *db, const char *sql)
{
    if (sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
        fail(db);
}

static void step(const struct writing *w, sqlite3_stmt *q)
{
    if (sqlite3_step(q) != SQLITE_DONE)
        fail(w->db);
    sqlite3_reset(q);
}

/* Columns that mark and mark_target share: clip, fault, praise, severity, cause, state, at, set. */
static void draw_shared(struct writing *w, int i, int marks)
{
    const struct show *show = &w->m->show;
    const struct fault *f = &show->faults[draw_uneven(show->n_faults)];
    const int64_t shared[] = {1 + (int64_t)i * BIG_CLIPS / marks,
                              f->id,
                              draw() % 10 == 0,
                              1 + draw() % 3,
                              f->cause,
                              draw() % 8 ? MARK_OPEN : draw() % 3,
                              (int64_t)(draw() % LENGTH_US),
                              show->sets[draw() % show->n_sets].id};
    for (int k = 0; k < 8; k++) {
        sqlite3_bind_int64(w->mark, 2 + k, shared[k]);
        sqlite3_bind_int64(w->target, 5 + k, shared[k]);
    }
    sqlite3_bind_int64(w->mark, 1, i + 1);
    sqlite3_bind_int64(w->target, 1, i + 1);
}

static void write_mark(struct writing *w, int i, int marks)
{
    const struct show *show = &w->m->show;
    const int targets = i % 20 ? 1 : 2;
    unsigned char uid[16] = {0};
    draw_shared(w, i, marks);
    for (int k = 0; k < 4; k++) /* in order: random ones would only make the writing slow */
        uid[k] = (unsigned char)(i >> (24 - 8 * k));
    sqlite3_bind_blob(w->mark, 10, uid, sizeof uid, SQLITE_STATIC);
    step(w, w->mark);
    sqlite3_bind_int(w->target, 13, targets > 1);
    size_t who = draw_uneven(show->n_performers);
    const bool whole = draw() % 5 == 0;
    for (int k = 0; k < targets; k++, who = (who + 1) % show->n_performers) {
        const struct performer *p = &show->performers[who];
        sqlite3_bind_int(w->target, 2, k);
        sqlite3_bind_int64(
            w->target, 3,
            show->sections[whole && k == 0 ? draw_uneven(show->n_sections) : (size_t)p->section]
                .id);
        if (whole && k == 0)
            sqlite3_bind_null(w->target, 4);
        else
            sqlite3_bind_int64(w->target, 4, p->id);
        step(w, w->target);
    }
}

/* The indexes of the two tables are taken away and made again at the end: faster by half. */
static void take_indexes(sqlite3 *db, struct buf *again)
{
    struct buf drop = {0};
    sqlite3_stmt *q;
    if (sqlite3_prepare_v2(db,
                           "SELECT name,sql FROM sqlite_master WHERE type='index' AND sql NOT NULL "
                           "AND tbl_name IN('mark','mark_target')",
                           -1, &q, NULL) != SQLITE_OK)
        fail(db);
    while (sqlite3_step(q) == SQLITE_ROW) {
        buf_printf(&drop, "DROP INDEX %s;", (const char *)sqlite3_column_text(q, 0));
        buf_printf(again, "%s;", (const char *)sqlite3_column_text(q, 1));
    }
    sqlite3_finalize(q);
    run(db, buf_text(&drop));
    buf_free(&drop);
}

static void put_all_marks(const struct making *m, const char *path, int marks)
{
    struct writing w = {.m = m};
    struct buf indexes = {0};
    if (sqlite3_open(path, &w.db) != SQLITE_OK)
        fail(w.db);
    run(w.db, "PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF; PRAGMA cache_size=-400000;"
              "PRAGMA temp_store=MEMORY; BEGIN");
    take_indexes(w.db, &indexes);
    if (sqlite3_prepare_v2(w.db,
                           "INSERT INTO mark(id,clip_id,fault_id,praise,severity,cause,state,at_us,"
                           "set_id,uid,note,count,author,made_at,changed_at) "
                           "VALUES(?,?,?,?,?,?,?,?,?,?,'',1,'Ana Quill',0,0)",
                           -1, &w.mark, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(w.db,
                           "INSERT INTO mark_target(mark_id,place,section_id,performer_id,clip_id,"
                           "fault_id,praise,severity,cause,state,at_us,set_id,many) "
                           "VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?)",
                           -1, &w.target, NULL) != SQLITE_OK)
        fail(w.db);
    for (int i = 0; i < marks; i++)
        write_mark(&w, i, marks);
    run(w.db, buf_text(&indexes));
    run(w.db, "COMMIT");
    buf_free(&indexes);
    sqlite3_finalize(w.mark);
    sqlite3_finalize(w.target);
    sqlite3_close(w.db);
}

void big_show(const char *path, int marks)
{
    struct making m = {0};
    struct err e;
    must(store_create(path, "Larkspur", "high-school", &m.store, &e), &e);
    store_author(m.store, "Ana Quill");
    put_band(&m);
    put_clips(&m);
    store_close(m.store);
    put_all_marks(&m, path, marks);
    arena_free(&m.memory);
}
