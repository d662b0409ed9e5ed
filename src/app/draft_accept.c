/* Drafts that become marks. */
#include <string.h>

#include "app/drafts_inner.h"
#include "app/ties.h"

enum draft_lack draft_lacks(const struct show *show, const struct draft *d)
{
    for (size_t i = 0; i < d->n_targets; i++)
        if (d->targets[i].performer >= 0 ? show->performers[d->targets[i].performer].removed
                                         : show->sections[d->targets[i].section].removed)
            return DRAFT_LACKS_WHO;
    if (d->n_targets == 0)
        return DRAFT_LACKS_WHO;
    return d->fault < 0 || show->faults[d->fault].removed ? DRAFT_LACKS_FAULT : DRAFT_LACKS_NOTHING;
}

static const char *note_of(const struct draft *d, struct arena *mem)
{
    struct buf size = {0};
    draft_size(d, &size);
    const char *note = size.n && *d->quote ? arena_printf(mem, "%s: %s", size.p, d->quote)
                       : size.n            ? arena_strdup(mem, size.p)
                                           : arena_strdup(mem, d->quote);
    buf_free(&size);
    return note;
}

static struct mark mark_of(const struct stored_draft *d, struct arena *mem)
{
    struct target *t = arena_alloc(mem, (d->d.n_targets + 1) * sizeof *t);
    for (size_t i = 0; i < d->d.n_targets; i++)
        t[i] = (struct target){d->d.targets[i].section, d->d.targets[i].performer};
    return (struct mark){
        .clip = d->clip,
        .at_us = d->d.at_us,
        .end_us = -1,
        .targets = t,
        .n_targets = d->d.n_targets,
        .fault = d->d.fault,
        .praise = d->d.praise,
        .severity = d->d.severity,
        .cause = d->d.cause,
        .note = note_of(&d->d, mem),
        .set = -1,
    };
}

/* Why it is no mark yet. */
static bool refuse(const struct show *show, const struct stored_draft *d, struct err *e)
{
    struct buf text = {0};
    draft_describe(show, &d->d, &text);
    err_set(e, ERR_INPUT,
            draft_lacks(show, &d->d) == DRAFT_LACKS_WHO
                ? "%s: nobody of the show is meant yet; say who first"
                : "%s: no fault of the show is meant yet; say which first",
            text.p);
    buf_free(&text);
    return false;
}

struct accepting {
    struct app *app;
    const struct map *map; /* made when it is needed first */
    struct arena *mem;
    int64_t draft, clip;
    double at_least;
    struct mark *now;
    struct drafts_accepted *report;
};

static bool make_map(struct accepting *x, int64_t clip, struct err *e)
{
    for (size_t i = 0; !x->map && i < x->app->clips.n; i++)
        if (x->app->clips.at[i].id == clip)
            x->map = app_map(x->app, &x->app->clips.at[i], x->mem, NULL, e);
    return x->map || *e->text ||
           err_set(e, ERR_INPUT, "the clip of that draft is not in the show any more");
}

static bool accept(struct accepting *x, const struct stored_draft *d, struct mark *m, struct err *e)
{
    const struct show *show = &x->app->show;
    if (d->state == DRAFT_WAITS && draft_lacks(show, &d->d) != DRAFT_LACKS_NOTHING)
        return refuse(show, d, e);
    if (!make_map(x, d->clip, e) || !x->map)
        return false;
    *m = mark_of(d, x->mem);
    app_place_mark(x->map, m);
    return store_mark_add(x->app->store, show, m, e) &&
           store_draft_settle(x->app->store, d->id, DRAFT_ACCEPTED, m->id, e);
}

static bool accept_one(struct store *s, void *ctx, struct err *e)
{
    struct accepting *x = ctx;
    struct stored_draft d;
    return store_draft_one(s, x->mem, x->draft, &d, e) && accept(x, &d, x->now, e);
}

bool app_draft_accept(struct app *a, int64_t draft, struct arena *mem, struct mark *now,
                      struct err *e)
{
    struct accepting x = {.app = a, .mem = mem, .draft = draft, .now = now};
    *e = (struct err){0};
    return draft_step(a, &(struct draft_step){draft, "accept", true, accept_one}, &x, e);
}

static bool accept_all(struct store *s, void *ctx, struct err *e)
{
    struct accepting *x = ctx;
    struct stored_draft_list l;
    bool ok = store_drafts(s, x->mem, &(struct draft_choice){x->clip, 0, true}, &l, e);
    for (size_t i = 0; ok && i < l.n; i++) {
        struct mark m;
        if (l.at[i].d.confidence < x->at_least)
            x->report->below++;
        else if (draft_lacks(&x->app->show, &l.at[i].d) != DRAFT_LACKS_NOTHING)
            x->report->lacking++;
        else {
            ok = accept(x, &l.at[i], &m, e);
            x->report->accepted++;
        }
    }
    return ok;
}

bool app_drafts_accept(struct app *a, int64_t clip, double at_least, struct drafts_accepted *out,
                       struct err *e)
{
    struct arena mem = {0};
    struct accepting x = {.app = a, .mem = &mem, .clip = clip, .at_least = at_least, .report = out};
    *out = (struct drafts_accepted){0};
    *e = (struct err){0};
    const bool ok = store_step(a->store, "accept drafts", accept_all, &x, e);
    arena_free(&mem);
    return ok;
}
