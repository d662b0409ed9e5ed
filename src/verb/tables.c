#include "verb/tables.h"

#include "app/ties.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/utf8.h"
#include "sys/file.h"

static bool add_root(struct arena *a, struct section_list *l)
{
    struct section *at = arena_alloc(a, (l->n + 1) * sizeof *at);
    at[0] = (struct section){
        .name = "ensemble", .parent = "", .key = "", .words = "everyone;full ensemble", .up = -1};
    memcpy(at + 1, l->at, l->n * sizeof *at);
    l->at = at;
    l->n++;
    return true;
}

/* Empty key cells, filled so that they go with the keys of the rows that stay. */
static void section_keys(struct arena *a, const struct show *show, bool keep,
                         struct section_list *l)
{
    struct section_list all = {arena_alloc(a, (l->n + show->n_sections) * sizeof *all.at), l->n};
    memcpy(all.at, l->at, l->n * sizeof *l->at);
    for (size_t i = 0; keep && i < show->n_sections; i++) {
        bool there = show->sections[i].removed;
        for (size_t k = 0; !there && k < l->n; k++)
            there = utf8_casecmp(l->at[k].name, show->sections[i].name) == 0;
        if (!there)
            all.at[all.n++] = show->sections[i];
    }
    sections_fill_keys(a, &all);
    memcpy(l->at, all.at, l->n * sizeof *l->at);
}

static void fault_keys(struct arena *a, const struct show *show, bool keep, struct fault_list *l)
{
    struct fault_list all = {arena_alloc(a, (l->n + show->n_faults) * sizeof *all.at), l->n};
    memcpy(all.at, l->at, l->n * sizeof *l->at);
    for (size_t i = 0; keep && i < show->n_faults; i++) {
        bool there = show->faults[i].removed;
        for (size_t k = 0; !there && k < l->n; k++)
            there = utf8_casecmp(l->at[k].name, show->faults[i].name) == 0;
        if (!there)
            all.at[all.n++] = show->faults[i];
    }
    faults_fill_keys(a, &all);
    memcpy(l->at, all.at, l->n * sizeof *l->at);
}

bool put_sections(struct app *a, const char *bytes, size_t n, const char *source, bool keep,
                  struct put_report *report, struct err *e)
{
    struct arena mem = {0};
    struct section_list l;
    struct put_report unused;
    bool ok = sections_read(&mem, bytes, n, source, &l, e);
    if (ok && !keep && sections_need_root(&l))
        add_root(&mem, &l);
    if (ok)
        section_keys(&mem, &a->show, keep, &l);
    ok = ok && store_put_sections(a->store, &l, keep, report ? report : &unused, e) &&
         app_reload(a, e);
    arena_free(&mem);
    return ok;
}

bool put_faults(struct app *a, const char *bytes, size_t n, const char *source, bool keep,
                struct put_report *report, struct err *e)
{
    struct arena mem = {0};
    struct fault_list l;
    struct put_report unused;
    bool ok = faults_read(&mem, bytes, n, source, &l, e);
    if (ok)
        fault_keys(&mem, &a->show, keep, &l);
    ok = ok && store_put_faults(a->store, &l, keep, report ? report : &unused, e) &&
         app_reload(a, e);
    arena_free(&mem);
    return ok;
}

bool put_roster(struct app *a, const char *bytes, size_t n, const char *source, bool keep,
                struct put_report *report, struct err *e)
{
    struct arena mem = {0};
    struct performer_list l;
    struct put_report unused;
    bool ok = roster_read(&mem, &a->show, bytes, n, source, &l, e) &&
              store_put_roster(a->store, &a->show, &l, keep, report ? report : &unused, e) &&
              app_reload(a, e);
    arena_free(&mem);
    return ok;
}

bool put_sets(struct app *a, const char *bytes, size_t n, const char *source, bool keep,
              struct put_report *report, struct err *e)
{
    struct arena mem = {0};
    struct set_list l;
    struct put_report unused;
    bool ok = sets_read(&mem, bytes, n, source, &l, e) &&
              store_put_sets(a->store, &l, keep, report ? report : &unused, e) &&
              app_reload(a, e) && app_place_all(a, e);
    arena_free(&mem);
    return ok;
}

bool put_dots(struct app *a, const char *bytes, size_t n, const char *source, bool keep,
              struct put_report *report, struct err *e)
{
    struct arena mem = {0};
    struct dot_list l;
    struct put_report unused;
    bool ok = dots_read(&mem, &a->show, bytes, n, source, &l, e) &&
              store_put_dots(a->store, &a->show, &l, keep, report ? report : &unused, e) &&
              app_reload(a, e);
    arena_free(&mem);
    return ok;
}
