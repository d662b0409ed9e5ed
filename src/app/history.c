#include "app/history.h"

#include <stdlib.h>
#include <string.h>

struct gather {
    struct app *app;
    struct arena *mem;
    struct history_report *out;
    const char **dates;
    size_t cap;
};

/* --- dates ------------------------------------------------------------------------------------ */

static void add_date(struct gather *g, const char *date)
{
    for (size_t i = 0; i < g->out->n_dates; i++)
        if (strcmp(g->dates[i], date) == 0)
            return;
    g->dates = array_grow(g->dates, g->out->n_dates, &g->cap, sizeof *g->dates);
    g->dates[g->out->n_dates++] = arena_strdup(g->mem, date);
}

static bool concerns(const struct gather *g, const struct rep_row *r)
{
    const int section = g->out->of.section;
    return section < 0 || section_within(&g->app->show, r->section, section) ||
           section_within(&g->app->show, section, r->section);
}

static void date_of_reps(void *ctx, const struct rep_row *r)
{
    struct gather *g = ctx;
    if (concerns(g, r))
        add_date(g, r->date);
}

static int by_date(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Those of the clips, and those on which reps were made without one. */
static bool gather_dates(struct gather *g, struct err *e)
{
    const char **clips = arena_alloc(g->mem, (g->out->of.n_clips + 1) * sizeof *clips);
    const size_t n = history_dates(&g->out->of, clips);
    for (size_t i = 0; i < n; i++)
        add_date(g, clips[i]);
    if (!store_each_rep(g->app->store, date_of_reps, g, e))
        return false;
    if (g->out->n_dates)
        qsort(g->dates, g->out->n_dates, sizeof *g->dates, by_date);
    return true;
}

/* --- lines ------------------------------------------------------------------------------------ */

static struct rehearsal *on(const struct line_history *l, const struct history_report *r,
                            const char *date)
{
    for (size_t i = 0; i < r->n_dates; i++)
        if (strncmp(r->dates[i], date, 10) == 0)
            return &l->at[i];
    return NULL;
}

/* A block counts once for a line, however many of the line's sections it was about. */
struct reps {
    struct gather *g;
    struct block_at {
        int64_t plan;
        int place;
    } * seen; /* by line: the block counted last */
};

static void add_reps(void *ctx, const struct rep_row *r)
{
    struct reps *x = ctx;
    if (!concerns(x->g, r))
        return;
    for (size_t i = 0; i < x->g->out->n; i++) {
        const struct line_history *l = &x->g->out->lines[i];
        struct rehearsal *h =
            l->item->fault == r->fault && !l->item->praise ? on(l, x->g->out, r->date) : NULL;
        if (!h || (x->seen[i].plan == r->plan && x->seen[i].place == r->place))
            continue;
        x->seen[i] = (struct block_at){r->plan, r->place};
        h->reps += r->reps;
    }
}

struct states {
    struct gather *g;
    int performer;
};

static void add_state(void *ctx, const struct state_row *s)
{
    struct states *x = ctx;
    const int section = x->g->out->of.own.section;
    if (s->section != section || s->performer != x->performer)
        return;
    for (size_t i = 0; i < x->g->out->n; i++) {
        const struct line_history *l = &x->g->out->lines[i];
        struct rehearsal *h = l->item->fault == s->fault && !l->item->praise
                                  ? on(l, x->g->out, app_local_time(x->g->mem, s->change.made_at))
                                  : NULL;
        if (!h)
            continue;
        h->state = mark_state_name(s->change.state); /* the rows come in their order */
        h->by = arena_strdup(x->g->mem, s->change.author);
    }
}

static void state_date(void *ctx, const struct state_row *s)
{
    struct states *x = ctx;
    if (s->section != x->g->out->of.own.section || s->performer != x->performer)
        return;
    const char *at = app_local_time(x->g->mem, s->change.made_at);
    if (*at) /* a show file may be anybody's: no calendar has its time */
        add_date(x->g, arena_printf(x->g->mem, "%.10s", at));
}

static void make_lines(struct gather *g, int fault)
{
    struct history_report *r = g->out;
    const struct rank_list *l = &r->of.own.list;
    r->lines = arena_alloc(g->mem, (l->n_items + 1) * sizeof *r->lines);
    for (size_t i = 0; i < l->n_items; i++) {
        if (fault >= 0 && l->items[i].fault != fault)
            continue;
        struct line_history *line = &r->lines[r->n++];
        line->part = &r->of.own;
        line->item = &l->items[i];
        line->at = arena_alloc(g->mem, (r->n_dates + 1) * sizeof *line->at);
        history_count(&r->of, line->item, r->dates, r->n_dates, line->at);
    }
}

static bool fill(struct gather *g, int fault, struct err *e)
{
    struct history_report *out = g->out;
    struct states states = {g, out->of.performer};
    struct store *store = g->app->store;
    const bool ok = store_each_state(store, state_date, &states, e) && gather_dates(g, e);
    out->dates = arena_take(g->mem, g->dates, out->n_dates * sizeof *g->dates);
    if (!ok)
        return false;
    make_lines(g, fault);
    struct reps reps = {g, arena_alloc(g->mem, (out->n + 1) * sizeof *reps.seen)};
    for (size_t i = 0; i < out->n; i++)
        reps.seen[i].place = -1;
    return store_each_rep(store, add_reps, &reps, e) &&
           store_each_state(store, add_state, &states, e);
}

bool app_history_of(struct app *a, const struct fix_report *of, struct arena *mem,
                    struct history_report *out, struct err *e)
{
    *out = (struct history_report){.of = *of};
    return fill(&(struct gather){.app = a, .mem = mem, .out = out}, -1, e);
}

bool app_history(struct app *a, const struct history_choice *choice, struct arena *mem,
                 struct history_report *out, struct err *e)
{
    struct fix_choice how = choice->list;
    how.moments = true;
    *out = (struct history_report){0};
    return app_fixes(a, &how, mem, &out->of, e) &&
           fill(&(struct gather){.app = a, .mem = mem, .out = out}, choice->fault, e);
}
