#include <string.h>
#include <strings.h>

#include "app/ties.h"
#include "count/timecode.h"
#include "show/table.h"
#include "verb/tables.h"

enum { CLIP, TIME, TARGET, FAULT, NOTE, SEVERITY, CAUSE, PRAISE, AUTHOR };

static const struct table_column columns[] = {
    [CLIP] = {"clip", true},      [TIME] = {"time", true},
    [TARGET] = {"target", true},  [FAULT] = {"fault", true},
    [NOTE] = {"note", false},     [SEVERITY] = {"severity", false},
    [CAUSE] = {"cause", false},   [PRAISE] = {"praise", false},
    [AUTHOR] = {"author", false}, {NULL, false},
};

struct adding {
    struct app *app;
    size_t added, updated;
    int64_t newest; /* of the marks that were there before this table */
};

static bool read_praise(const struct table_row *row, bool *out, struct err *e)
{
    static const char *const yes[] = {"yes", "y", "true", "1", "keep", "x"}, *const no[] = {
                                                                                 "", "no", "n",
                                                                                 "false", "0"};
    for (size_t i = 0; i < sizeof yes / sizeof *yes; i++)
        if (strcasecmp(row->cell[PRAISE], yes[i]) == 0)
            return *out = true;
    for (size_t i = 0; i < sizeof no / sizeof *no; i++)
        if (strcasecmp(row->cell[PRAISE], no[i]) == 0) {
            *out = false;
            return true;
        }
    return table_error(row, PRAISE, e, "'%s' is neither yes nor no", row->cell[PRAISE]);
}

static bool read_mark(struct adding *a, struct arena *mem, const struct table_row *row,
                      struct mark *m, struct err *e)
{
    struct err why;
    const struct show *show = &a->app->show;
    const struct clip *clip = clip_named(&a->app->clips, row->cell[CLIP], &why);
    if (!clip)
        return table_error(row, CLIP, e, "%s", why.text);
    *m = (struct mark){.clip = clip->id, .end_us = -1, .set = -1, .note = row->cell[NOTE]};
    if (!app_clip_time(clip, row->cell[TIME], &m->at_us, &why))
        return table_error(row, TIME, e, "%s", why.text);
    if (m->at_us > clip->length_us)
        return table_error(row, TIME, e, "%s is past the end of clip '%s'", row->cell[TIME],
                           clip->label);
    if (!targets_parse(mem, show, row->cell[TARGET], &m->targets, &m->n_targets, &why))
        return table_error(row, TARGET, e, "%s", why.text);
    if (!fault_named(show, row->cell[FAULT], &m->fault, &why))
        return table_error(row, FAULT, e, "%s", why.text);
    double severity;
    if (!table_number(row, SEVERITY, SEVERITY_LEAST, SEVERITY_MOST, SEVERITY_LEAST, &severity, e) ||
        !read_praise(row, &m->praise, e))
        return false;
    if (severity != (int)severity)
        return table_error(row, SEVERITY, e, "%s: severity is 1, 2 or 3", row->cell[SEVERITY]);
    m->severity = (int)severity;
    m->cause = show->faults[m->fault].cause;
    if (strcasecmp(row->cell[CAUSE], "define") == 0)
        m->cause = CAUSE_DEFINE;
    else if (strcasecmp(row->cell[CAUSE], "execute") == 0)
        m->cause = CAUSE_EXECUTE;
    else if (*row->cell[CAUSE])
        return table_error(row, CAUSE, e, "'%s' is not a cause; write define or execute",
                           row->cell[CAUSE]);
    m->author = *row->cell[AUTHOR] ? row->cell[AUTHOR] : NULL;
    return true;
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct adding *a = ctx;
    struct arena mem = {0};
    struct mark m;
    bool ok = read_mark(a, &mem, row, &m, e);
    bool there = ok && store_mark_same(a->app->store, &a->app->show, &m, a->newest);
    ok = ok && (there ? store_mark_update(a->app->store, &a->app->show, &m, e)
                      : store_mark_add(a->app->store, &a->app->show, &m, e));
    *(there ? &a->updated : &a->added) += ok;
    arena_free(&mem);
    return ok;
}

bool put_marks(struct app *a, const char *bytes, size_t n, const char *source, size_t *added,
               size_t *updated, struct err *e)
{
    struct adding adding = {.app = a};
    if (!store_begin(a->store, NULL, e))
        return false;
    adding.newest = store_mark_newest(a->store);
    bool ok = table_read(bytes, n, source, columns, on_row, &adding, e);
    *added = adding.added;
    *updated = adding.updated;
    ok = ok && app_place_all(a, e);
    if (ok)
        return store_commit(a->store, e);
    store_rollback(a->store);
    return false;
}
