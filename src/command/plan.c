/* The rep plan on the desk: its rows read from the show file, and read again. How it is made is in
 * plan_report.c and plan_order.c, what a person does to it in plan_change.c. */
#include "command/plan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "app/plan_kept.h"

static void forget_draft(struct desk_plan *p)
{
    arena_free(&p->memory);
    p->report = (struct plan_report){0};
    p->draft = false;
    plan_wishes_free(&p->wishes);
    for (size_t i = 0; i < p->n_before; i++)
        plan_wishes_free(&p->before[i]);
    p->n_before = 0;
}

void plan_free(struct desk_plan *p)
{
    if (!p)
        return;
    forget_draft(p);
    arena_free(&p->rows_memory);
    arena_free(&p->ask_memory);
    free(p);
}

static void copy_ask(struct desk_plan *p, const struct plan_ask *ask)
{
    struct arena fresh = {0};
    struct plan_ask copy;
    plan_ask_parse(plan_ask_text(ask, &fresh), &fresh, &copy);
    arena_free(&p->ask_memory);
    p->ask_memory = fresh;
    p->ask = copy;
}

struct desk_plan *plan_new(const char *date, const struct plan_ask *ask)
{
    struct desk_plan *p = xcalloc(1, sizeof *p);
    snprintf(p->date, sizeof p->date, "%s", date);
    p->wbgt = p->weather = "";
    copy_ask(p, ask);
    return p;
}

struct planning {
    struct desk_plan *now; /* NULL: none is on the desk */
};

static void follow(struct desk *d, void *mine)
{
    (void)mine;
    plan_follow(d);
}

static void end(struct desk *d, void *mine)
{
    (void)d;
    plan_free(((struct planning *)mine)->now);
}

static const struct part part = {.size = sizeof(struct planning), .after_read = follow, .end = end};

struct desk_plan *plan_now(const struct desk *d)
{
    return ((struct planning *)desk_part(d, &part))->now;
}

void plan_put(struct desk *d, struct desk_plan *p)
{
    struct planning *at = desk_part(d, &part);
    plan_free(at->now);
    at->now = p;
}

/* --- the rows of the show file ---------------------------------------------------------------- */

static struct plan_words *words_of(const struct show *show, const struct rep_plan *kept,
                                   struct arena *mem)
{
    struct plan_words *out = arena_alloc(mem, (kept->n_blocks + 1) * sizeof *out);
    for (size_t i = 0; i < kept->n_blocks; i++) {
        const struct rep_block *b = &kept->blocks[i];
        out[i].fix = arena_alloc(mem, (b->n_fixes + 1) * sizeof *out[i].fix);
        for (size_t k = 0; k < b->n_fixes; k++) {
            const struct rep_fix *f = &b->fixes[k];
            if ((size_t)f->section >= show->n_sections || (size_t)f->fault >= show->n_faults)
                continue; /* the show could not be loaded again: it is older than the rows */
            out[i].fix[out[i].n++] =
                arena_printf(mem, "%s: %s (%d)", show->sections[f->section].name,
                             show->faults[f->fault].name, f->marks);
        }
    }
    return out;
}

static bool same_row(const struct rep_block *x, const struct rep_block *y)
{
    return x->kind == y->kind && x->block == y->block && x->start_s == y->start_s &&
           x->seconds == y->seconds && x->begins_s == y->begins_s && x->reps == y->reps &&
           x->rep_s == y->rep_s && x->kept == y->kept && strcmp(x->who, y->who) == 0 &&
           strcmp(x->sets, y->sets) == 0 && strcmp(x->what, y->what) == 0;
}

/* By what is in them, as a row of the show file may be used again by the next plan. */
bool plan_same_rows(const struct rep_plan *a, const struct rep_plan *b)
{
    if (a->minutes != b->minutes || a->start_min != b->start_min || a->n_blocks != b->n_blocks)
        return false;
    for (size_t i = 0; i < a->n_blocks; i++)
        if (!same_row(&a->blocks[i], &b->blocks[i]))
            return false;
    return true;
}

/* As it was asked for; an older file keeps the reading only. */
static const char *wbgt_of(struct desk *d, const struct desk_plan *p, const struct rep_plan *kept,
                           struct arena *mem)
{
    struct plan_ask ask;
    plan_ask_parse(kept->asked, mem, &ask);
    const char *wbgt = plan_ask_value(&ask, "wbgt");
    double f;
    struct err ignored;
    if (ask.n > 0)
        return wbgt && heat_parse_wbgt(wbgt, &f, &ignored) ? arena_printf(mem, "%.6gF", f) : "";
    const struct plan_reading r = app_plan_reading(d->app, p->date, mem);
    return r.known ? arena_printf(mem, "%.6gF", r.wbgt_f) : "";
}

bool plan_read_rows(struct desk *d, struct desk_plan *p, bool *same, struct err *e)
{
    struct arena fresh = {0};
    struct rep_plan kept;
    if (!store_plan(d->app->store, &fresh, p->date, &kept, e)) {
        arena_free(&fresh);
        return false;
    }
    *same = p->kept.id == kept.id && plan_same_rows(&p->kept, &kept);
    p->wbgt = wbgt_of(d, p, &kept, &fresh);
    p->weather = app_plan_weather_words(kept.asked, &fresh);
    arena_free(&p->rows_memory);
    p->rows_memory = fresh;
    p->kept = kept;
    p->words = words_of(&d->app->show, &kept, &p->rows_memory);
    if (p->line >= kept.n_blocks)
        p->line = kept.n_blocks ? kept.n_blocks - 1 : 0;
    return true;
}

bool plan_may_change(const struct desk_plan *p)
{
    return p->draft && !app_plan_ticked(&p->kept);
}

struct plan_spot plan_spot_of(const struct desk_plan *p)
{
    const struct rep_block *b = &p->kept.blocks[p->line];
    return (struct plan_spot){(size_t)b->block, (size_t)b->part};
}

/* --- from the show file ------------------------------------------------------------------------ */

/* The wishes are named: they are read once there is a report that knows the names. */
static bool read_wishes(struct desk *d, struct desk_plan *p, struct err *e)
{
    if (!*p->kept.wishes)
        return true;
    if (!plan_make_report(d, p, e) || !plan_wishes_parse(p->kept.wishes, &p->report, &p->wishes))
        return false;
    p->draft = false;
    return true;
}

/* Is what is stored what would be made now? Then it is a draft. */
static void try_draft(struct desk *d, struct desk_plan *p)
{
    struct arena scratch = {0};
    struct rep_plan rows;
    struct err ignored;
    copy_ask(p, &(struct plan_ask){0});
    plan_ask_parse(p->kept.asked, &p->ask_memory, &p->ask);
    bool ok = p->ask.n > 0 && !app_plan_ticked(&p->kept) && read_wishes(d, p, &ignored) &&
              plan_make_report(d, p, &ignored) && !plan_closed(p);
    if (ok) {
        app_plan_rows(&p->report, &scratch, &rows);
        ok = plan_same_rows(&rows, &p->kept);
    }
    if (!ok)
        forget_draft(p);
    p->draft = ok;
    arena_free(&scratch);
}

bool plan_open_day(struct desk *d, const char *date, struct err *e)
{
    bool same;
    struct desk_plan *p = plan_new(date, &(struct plan_ask){0});
    if (!plan_read_rows(d, p, &same, e)) {
        plan_free(p);
        return false;
    }
    try_draft(d, p);
    plan_put(d, p);
    return true;
}

bool plan_follow(struct desk *d)
{
    struct err e = {0};
    struct desk_plan *p = plan_now(d);
    bool same = false;
    if (!p)
        return true;
    if (!plan_read_rows(d, p, &same, &e)) {
        if (e.code != ERR_INPUT)
            return true; /* not known; what is shown stays */
        plan_put(d, NULL);
        desk_say(d, "the plan of the day is not in the show file any more");
        return false;
    }
    if (same && (!p->draft || plan_report_holds(&p->report, &d->app->show)))
        return true;
    forget_draft(p);
    try_draft(d, p);
    desk_say(d, same ? "sections, faults or sets changed: the plan is shown as it is stored"
                     : "another program made a new plan of the day: it is shown as it is stored");
    return same;
}
