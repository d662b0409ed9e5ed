#include "app/tables.h"

#include <stdio.h>
#include <string.h>

#include "app/ties.h"
#include "base/shell.h"
#include "base/utf8.h"
#include "count/timecode.h"
#include "show/path.h"
#include "sys/file.h"

struct putting {
    struct app *app;
    const struct table_text *text;
    enum table_how how;
    struct arena mem;
    struct table_report *report;
};

static bool stays(const struct putting *p)
{
    return p->how == TABLE_ADD;
}

/* --- keys ------------------------------------------------------------------------------------ */

static void add_root(struct arena *a, struct section_list *l)
{
    struct section *at = arena_alloc(a, (l->n + 1) * sizeof *at);
    at[0] = (struct section){
        .name = "ensemble", .parent = "", .key = "", .words = "everyone;full ensemble", .up = -1};
    memcpy(at + 1, l->at, l->n * sizeof *at);
    l->at = at;
    l->n++;
}

/* The rows of the table, and behind them those of the show that stay beside them. */
static struct section_list sections_together(struct putting *p, const struct section_list *l)
{
    const struct show *show = &p->app->show;
    struct section_list all = {
        .at = arena_alloc(&p->mem, (l->n + show->n_sections) * sizeof *all.at), .n = l->n};
    memcpy(all.at, l->at, l->n * sizeof *l->at);
    for (size_t i = 0; stays(p) && i < show->n_sections; i++) {
        bool there = show->sections[i].removed;
        for (size_t k = 0; !there && k < l->n; k++)
            there = utf8_casecmp(l->at[k].name, show->sections[i].name) == 0;
        if (!there)
            all.at[all.n++] = show->sections[i];
    }
    return all;
}

static struct fault_list faults_together(struct putting *p, const struct fault_list *l)
{
    const struct show *show = &p->app->show;
    struct fault_list all = {.at = arena_alloc(&p->mem, (l->n + show->n_faults) * sizeof *all.at),
                             .n = l->n};
    memcpy(all.at, l->at, l->n * sizeof *l->at);
    for (size_t i = 0; stays(p) && i < show->n_faults; i++) {
        bool there = show->faults[i].removed;
        for (size_t k = 0; !there && k < l->n; k++)
            there = utf8_casecmp(l->at[k].name, show->faults[i].name) == 0;
        if (!there)
            all.at[all.n++] = show->faults[i];
    }
    return all;
}

/* --- the tables ------------------------------------------------------------------------------ */

static bool put_sections(struct putting *p, struct err *e)
{
    struct section_list l, all;
    if (!sections_read_among(&p->mem, stays(p) ? &p->app->show : NULL, p->text, &l, e))
        return false;
    sections_stay(&l, &p->app->show, stays(p));
    if (!stays(p) && sections_need_root(&l))
        add_root(&p->mem, &l);
    all = sections_together(p, &l);
    if (!sections_check_tree(&all, p->text->source, e) ||
        !sections_settle_keys(&p->mem, &all, p->text->source, e))
        return false;
    sections_fill_keys(&p->mem, &all);
    memcpy(l.at, all.at, l.n * sizeof *l.at);
    return store_put_sections(p->app->store, &l, stays(p), &p->report->rows, e);
}

static bool put_faults(struct putting *p, struct err *e)
{
    struct fault_list l, all;
    if (!faults_read(&p->mem, p->text, &l, e))
        return false;
    faults_stay(&l, &p->app->show);
    all = faults_together(p, &l);
    if (!faults_settle_keys(&p->mem, &all, p->text->source, e))
        return false;
    faults_fill_keys(&p->mem, &all);
    memcpy(l.at, all.at, l.n * sizeof *l.at);
    return store_put_faults(p->app->store, &l, stays(p), &p->report->rows, e);
}

static bool put_roster(struct putting *p, struct err *e)
{
    struct performer_list l;
    if (!roster_read(&p->mem, &p->app->show, p->text, &l, e))
        return false;
    roster_stay(&l, &p->app->show, p->text->talk);
    return store_put_roster(p->app->store, &l, stays(p), &p->report->rows, e);
}

/* The roster may come behind the sets. */
static void note_paths(struct putting *p, const struct set_list *l)
{
    for (size_t i = 0; p->text->talk && p->app->show.n_performers && i < l->n; i++)
        if (path_note(&p->app->show, &l->at[i], &p->text->talk->notes))
            buf_char(&p->text->talk->notes, '\n');
}

static bool put_sets(struct putting *p, struct err *e)
{
    struct set_list l;
    if (!sets_read(&p->mem, p->text, &l, e))
        return false;
    sets_stay(&l, &p->app->show);
    if (!sets_check_paths(&l, p->text->source, e))
        return false;
    note_paths(p, &l);
    return store_put_sets(p->app->store, &l, stays(p), &p->report->rows, e);
}

static bool put_dots(struct putting *p, struct err *e)
{
    struct dot_list l;
    return dots_read(&p->mem, &p->app->show, p->text, &l, e) &&
           store_put_dots(p->app->store, &l, stays(p), &p->report->rows, e);
}

static const struct {
    bool (*put)(struct putting *p, struct err *e);
    bool drill;   /* marks and ties hang on it */
    bool dots_go; /* dots may go with what is removed */
} kinds[] = {
    {put_sections, false, true}, {put_roster, false, true}, {put_faults, false, false},
    {put_sets, true, true},      {put_dots, false, false},
};
const char *const table_names[] = {"sections", "roster", "faults", "sets", "dots", NULL};

/* --- what hangs on a set list ----------------------------------------------------------------- */

struct ties_seen {
    size_t used, all;
};

/* Counts the ties of all clips; the first that rests is given. */
static bool see_ties(struct app *a, struct arena *mem, struct ties_seen *out,
                     const struct clip **clip, const struct tie **rests, struct err *e)
{
    *out = (struct ties_seen){0};
    *rests = NULL;
    for (size_t i = 0; i < a->clips.n; i++) {
        struct tie_list l;
        if (!app_map(a, &a->clips.at[i], mem, &l, e))
            return false;
        out->all += l.n;
        for (size_t k = 0; k < l.n; k++) {
            out->used += !l.at[k].rests;
            if (!l.at[k].rests || *rests)
                continue;
            *rests = &l.at[k];
            *clip = &a->clips.at[i];
        }
    }
    return true;
}

static bool refuse_tie(struct putting *p, const struct clip *c, const struct tie *t, struct err *e)
{
    char time[24];
    const struct set *s = &p->app->show.sets[t->set];
    time_format(t->at_us, time);
    return err_set(e, ERR_INPUT,
                   "%s: set %s would have %d counts, but clip '%s' is tied to its count %g at %s; "
                   "untie that first (boxcall count SHOW %s untie %s), or keep the counts",
                   p->text->source, s->label, s->counts, c->label, t->count, time,
                   shell_word(c->label).text, time);
}

static bool follow_drill(struct putting *p, const struct ties_seen *before, struct err *e)
{
    struct ties_seen now;
    const struct clip *clip = NULL;
    const struct tie *rests;
    if (!see_ties(p->app, &p->mem, &now, &clip, &rests, e))
        return false;
    p->report->ties = (long)before->all - (long)now.all;
    if (rests && now.all - now.used > before->all - before->used)
        return refuse_tie(p, clip, rests, e);
    return app_place_all(p->app, e);
}

/* --- one step -------------------------------------------------------------------------------- */

struct put_step {
    struct putting *p;
    size_t kind;
    bool looked; /* all of it was possible, and is taken back on purpose */
};

static bool put_all(struct store *s, void *ctx, struct err *e)
{
    struct put_step *x = ctx;
    struct putting *p = x->p;
    (void)s;
    struct ties_seen before = {0};
    const struct clip *clip;
    const struct tie *rests;
    bool drill = kinds[x->kind].drill;
    size_t dots = p->app->show.n_dots;
    if ((drill && !see_ties(p->app, &p->mem, &before, &clip, &rests, e)) ||
        !kinds[x->kind].put(p, e) || !app_reload(p->app, e) ||
        (drill && !follow_drill(p, &before, e)))
        return false;
    if (kinds[x->kind].dots_go && p->app->show.n_dots < dots)
        p->report->dots = (long)(dots - p->app->show.n_dots);
    x->looked = p->how == TABLE_LOOK;
    return !x->looked;
}

bool app_put_table(struct app *a, const struct table_put *put, struct table_report *out,
                   struct err *e)
{
    struct putting p = {.app = a, .text = put->text, .how = put->how, .report = out};
    struct put_step x = {.p = &p};
    char what[40];
    while (strcmp(table_names[x.kind], put->name) != 0)
        x.kind++;
    *out = (struct table_report){0};
    snprintf(what, sizeof what, "add %s", put->name);
    bool ok = store_step(a->store, put->how == TABLE_FIRST ? NULL : what, put_all, &x, e);
    arena_free(&p.mem);
    if (ok)
        return true;
    struct err again; /* what was read within the step that was taken back is not so */
    if (!app_reload(a, &again)) {
        *e = again;
        return false;
    }
    return x.looked;
}

const char *app_copy_before(struct app *a, const char *name, struct arena *mem, struct err *e)
{
    const char *path = arena_printf(mem, "%s.before-%s", store_path(a->store), name);
    for (int n = 2; file_exists(path); n++)
        path = arena_printf(mem, "%s.before-%s-%d", store_path(a->store), name, n);
    return store_copy(a->store, path, e) ? path : NULL;
}
