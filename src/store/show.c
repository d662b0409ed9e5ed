/* Reading what the staff brought back into the plain values of show/. */
#include <stdlib.h>
#include <string.h>

#include "store/inside.h"

static bool read_rows(struct store *s, const char *sql, struct err *e,
                      void (*row)(struct store *, struct arena *, sqlite3_stmt *, struct show *),
                      struct arena *a, struct show *show)
{
    sqlite3_stmt *q = st_get(s, sql, e);
    if (!q)
        return false;
    bool ok = true;
    while (st_row(s, q, &ok, e))
        row(s, a, q, show);
    idmap_sort(&s->section_at);
    idmap_sort(&s->performer_at);
    idmap_sort(&s->fault_at);
    idmap_sort(&s->set_at);
    return ok;
}

/* Arena arrays double in place of realloc; what is left behind is freed with the arena. */
static void *room(struct arena *a, void *p, size_t n, size_t size)
{
    if (n & (n - 1))
        return p;
    void *q = arena_alloc(a, (n ? n * 2 : 1) * size);
    if (n)
        memcpy(q, p, n * size);
    return q;
}

static void section_row(struct store *s, struct arena *a, sqlite3_stmt *q, struct show *show)
{
    show->sections = room(a, show->sections, show->n_sections, sizeof *show->sections);
    idmap_set(&s->section_at, sqlite3_column_int64(q, 0), (int)show->n_sections);
    show->sections[show->n_sections++] = (struct section){
        .id = sqlite3_column_int64(q, 0),
        .name = arena_strdup(a, st_column(q, 1)),
        .parent = arena_strdup(a, st_column(q, 2)),
        .key = arena_strdup(a, st_column(q, 3)),
        .words = arena_strdup(a, st_column(q, 4)),
        .removed = sqlite3_column_int(q, 5),
        .say = arena_strdup(a, st_column(q, 6)),
        .up = -1,
    };
}

static void performer_row(struct store *s, struct arena *a, sqlite3_stmt *q, struct show *show)
{
    int section = idmap_find(&s->section_at, sqlite3_column_int64(q, 3));
    if (section < 0)
        return; /* only in a file that was written elsewhere */
    show->performers = room(a, show->performers, show->n_performers, sizeof *show->performers);
    idmap_set(&s->performer_at, sqlite3_column_int64(q, 0), (int)show->n_performers);
    show->performers[show->n_performers++] = (struct performer){
        .id = sqlite3_column_int64(q, 0),
        .label = arena_strdup(a, st_column(q, 1)),
        .name = arena_strdup(a, st_column(q, 2)),
        .section = section,
        .number = sqlite3_column_int(q, 4),
        .removed = sqlite3_column_int(q, 5),
    };
}

static void fault_row(struct store *s, struct arena *a, sqlite3_stmt *q, struct show *show)
{
    show->faults = room(a, show->faults, show->n_faults, sizeof *show->faults);
    idmap_set(&s->fault_at, sqlite3_column_int64(q, 0), (int)show->n_faults);
    show->faults[show->n_faults++] = (struct fault){
        .id = sqlite3_column_int64(q, 0),
        .name = arena_strdup(a, st_column(q, 1)),
        .family = arena_strdup(a, st_column(q, 2)),
        .key = arena_strdup(a, st_column(q, 3)),
        .cause = sqlite3_column_int(q, 4) ? CAUSE_DEFINE : CAUSE_EXECUTE,
        .right = arena_strdup(a, st_column(q, 5)),
        .words = arena_strdup(a, st_column(q, 6)),
        .removed = sqlite3_column_int(q, 7),
        .together = sqlite3_column_int(q, 9),
        .say = arena_strdup(a, st_column(q, 12)),
        .decided_by = "",
    };
    if (sqlite3_column_type(q, 8) != SQLITE_NULL) {
        struct fault *f = &show->faults[show->n_faults - 1];
        f->right = arena_strdup(a, st_column(q, 8));
        f->decided = true;
        f->decided_by = arena_strdup(a, st_column(q, 10));
        f->decided_at = sqlite3_column_int64(q, 11);
        f->cause = CAUSE_EXECUTE; /* decided: from now on it is the performers' to do */
    }
}

static void set_row(struct store *s, struct arena *a, sqlite3_stmt *q, struct show *show)
{
    show->sets = room(a, show->sets, show->n_sets, sizeof *show->sets);
    idmap_set(&s->set_at, sqlite3_column_int64(q, 0), (int)show->n_sets);
    show->sets[show->n_sets++] = (struct set){
        .id = sqlite3_column_int64(q, 0),
        .label = arena_strdup(a, st_column(q, 1)),
        .counts = sqlite3_column_int(q, 2),
        .tempo = sqlite3_column_double(q, 3),
        .tempo_end = sqlite3_column_double(q, 4),
        .hold = sqlite3_column_double(q, 5),
        .measures = sqlite3_column_int(q, 6),
        .name = arena_strdup(a, st_column(q, 7)),
        .path = arena_strdup(a, st_column(q, 8)),
    };
}

static void dot_row(struct store *s, struct arena *a, sqlite3_stmt *q, struct show *show)
{
    struct dot d = {
        .performer = idmap_find(&s->performer_at, sqlite3_column_int64(q, 0)),
        .set = idmap_find(&s->set_at, sqlite3_column_int64(q, 1)),
        .x = sqlite3_column_double(q, 2),
        .y = sqlite3_column_double(q, 3),
    };
    if (d.performer < 0 || d.set < 0)
        return;
    show->dots = room(a, show->dots, show->n_dots, sizeof *show->dots);
    show->dots[show->n_dots++] = d;
}

/* Rows that were removed and that no mark speaks of stay in the file (a merge needs them) but are
 * not part of the show. */
bool store_show(struct store *s, struct arena *a, struct show *out, struct err *e)
{
    *out = (struct show){.root = -1};
    idmap_clear(&s->section_at);
    idmap_clear(&s->performer_at);
    idmap_clear(&s->fault_at);
    idmap_clear(&s->set_at);
    const char *field = store_setting(s, a, "field");
    struct err none;
    if (!field || !grid_read(field, &out->grid, &none))
        out->grid = *grid_named("high-school");
    bool ok =
        read_rows(s,
                  "SELECT id,name,parent,key,words,removed_at IS NOT NULL,say FROM section WHERE "
                  "removed_at IS NULL OR kept OR id IN (SELECT section_id FROM performer) ORDER BY "
                  "place,id",
                  e, section_row, a, out) &&
        read_rows(s,
                  "SELECT id,label,name,section_id,number,removed_at IS NOT NULL FROM performer "
                  "WHERE removed_at IS NULL OR kept ORDER BY place,id",
                  e, performer_row, a, out) &&
        read_rows(
            s,
            "SELECT id,name,family,key,cause,right,words,removed_at IS NOT NULL,d.text,"
            "together,d.author,d.made_at,say FROM fault LEFT JOIN (SELECT fault_id,text,author,"
            "made_at FROM decision) d ON d.fault_id=fault.id "
            "WHERE removed_at IS NULL OR kept ORDER BY place,id",
            e, fault_row, a, out) &&
        read_rows(
            s,
            "SELECT id,label,counts,tempo,tempo_end,hold,measures,name,path FROM drill_set WHERE "
            "removed_at IS NULL ORDER BY place,id",
            e, set_row, a, out) &&
        read_rows(s, "SELECT performer_id,set_id,x,y FROM dot", e, dot_row, a, out);
    if (ok)
        show_link(out);
    return ok;
}
