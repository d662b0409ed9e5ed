#include "app/learn.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/run_seen.h"
#include "plan/plan.h"
#include "store/rep_history.h"

/* Reps of a line in one set. */
struct reps {
    int section, fault, set;
    const char *date;
    int64_t planned_at;
    double reps, share;
    bool apart;
};

/* Those since the line was last watched. */
struct pending {
    double of[2]; /* together, apart */
    double said;  /* sum of reps times share */
};

struct seen {
    int times;
    double minutes;
};

struct gather {
    struct app *app;
    struct arena *mem;
    int say;
    struct learn_report *out;
    struct reps *reps;
    size_t n_reps, cap_reps;
    struct runs_seen seen;
    struct observed {
        struct learn_seen *at;
        size_t n, cap;
    } told[2]; /* together, apart */
    int line;
    int last_mixed; /* line */
};

/* --- what was rehearsed ------------------------------------------------------------------------ */

static void on_rep(void *ctx, const struct rep_made *row)
{
    struct gather *g = ctx;
    char *sets = arena_strdup(g->mem, row->sets), *rest = sets;
    const char *date = arena_strdup(g->mem, row->date);
    while ((sets = strsep(&rest, " "))) {
        const int set = *sets ? show_set(&g->app->show, sets) : -1;
        if (set < 0)
            continue; /* it is not in the show any more */
        g->reps = array_grow(g->reps, g->n_reps, &g->cap_reps, sizeof *g->reps);
        g->reps[g->n_reps++] = (struct reps){.section = row->section,
                                             .fault = row->fault,
                                             .set = set,
                                             .date = date,
                                             .planned_at = row->made_at,
                                             .reps = row->reps,
                                             .share = fmin(1, (double)g->say / row->fixes),
                                             .apart = row->kind == PLAN_SECTIONAL};
    }
}

static bool same_line(const struct reps *x, const struct reps *y)
{
    return x->section == y->section && x->fault == y->fault;
}

static int by_line_and_date(const void *a, const void *b)
{
    const struct reps *x = a, *y = b;
    if (x->section != y->section)
        return x->section < y->section ? -1 : 1;
    if (x->fault != y->fault)
        return x->fault < y->fault ? -1 : 1;
    return x->set != y->set ? (x->set < y->set ? -1 : 1) : strcmp(x->date, y->date);
}

static bool watch(struct gather *g, struct err *e)
{
    bool *sections = arena_alloc(g->mem, g->app->show.n_sections + 1);
    bool *faults = arena_alloc(g->mem, g->app->show.n_faults + 1);
    for (size_t i = 0; i < g->n_reps; i++)
        sections[g->reps[i].section] = faults[g->reps[i].fault] = true;
    const struct seen_wanted wanted = {sections, faults};
    return app_runs_seen(g->app, &wanted, g->mem, &g->seen, e);
}

/* --- before and after -------------------------------------------------------------------------- */

static void add(struct pending *p, const struct reps *r)
{
    p->of[r->apart] += r->reps;
    p->said += r->reps * r->share;
}

/* The set of a line was watched before and after what is pending; no minutes: it was not. */
static void tell(struct gather *g, const struct pending *p, struct seen before, struct seen after)
{
    const double reps = p->of[0] + p->of[1];
    struct observed *o = &g->told[p->of[1] > 0];
    if (reps <= 0)
        return;
    if (p->of[0] > 0 && p->of[1] > 0) {
        g->out->mixed += g->last_mixed != g->line;
        g->last_mixed = g->line;
        return;
    }
    o->at = array_grow(o->at, o->n, &o->cap, sizeof *o->at);
    o->at[o->n++] = (struct learn_seen){.line = g->line,
                                        .before = before.times,
                                        .after = after.times,
                                        .before_min = before.minutes,
                                        .after_min = after.minutes,
                                        .reps = reps,
                                        .share = p->said / reps};
}

/* The runs of one date, from `run` on, that were filmed before anything that was planned for it by
 * then; returns where the next date begins. */
static size_t see_date(const struct gather *g, const struct reps *line, size_t run,
                       int64_t planned_at, struct seen *out)
{
    const char *date = g->seen.runs[run].date;
    *out = (struct seen){0};
    for (; run < g->seen.n_runs && strcmp(g->seen.runs[run].date, date) == 0; run++) {
        const double minutes = g->seen.runs[run].minutes[line->set];
        if (g->seen.runs[run].made_at > planned_at || minutes <= 0)
            continue;
        out->minutes += minutes;
        out->times += runs_seen_count(
            &g->seen, &(struct sighting){line->section, line->fault, line->set, run, 0});
    }
    return run;
}

/* Its reps, by date, against the dates of the clips. */
static void tell_set(struct gather *g, const struct reps *at, size_t n)
{
    struct pending pending = {0};
    struct seen last = {0}, now;
    size_t i = 0;
    for (size_t run = 0; run < g->seen.n_runs;) {
        const char *date = g->seen.runs[run].date;
        for (; i < n && strcmp(at[i].date, date) < 0; i++)
            add(&pending, &at[i]);
        int64_t planned_at = INT64_MAX;
        for (size_t k = i; k < n && strcmp(at[k].date, date) == 0; k++)
            planned_at = at[k].planned_at < planned_at ? at[k].planned_at : planned_at;
        run = see_date(g, at, run, planned_at, &now);
        if (now.minutes <= 0)
            continue;
        tell(g, &pending, last, now);
        pending = (struct pending){0};
        last = now;
    }
    for (; i < n; i++)
        add(&pending, &at[i]);
    tell(g, &pending, last, (struct seen){0});
}

static void tell_all(struct gather *g)
{
    if (g->n_reps)
        qsort(g->reps, g->n_reps, sizeof *g->reps, by_line_and_date);
    for (size_t i = 0, end; i < g->n_reps; i = end) {
        g->line += i == 0 || !same_line(&g->reps[i], &g->reps[i - 1]);
        for (end = i + 1; end < g->n_reps && same_line(&g->reps[i], &g->reps[end]) &&
                          g->reps[end].set == g->reps[i].set;)
            end++;
        tell_set(g, &g->reps[i], end - i);
    }
}

bool app_learn(struct app *a, int say, struct arena *mem, struct learn_report *out, struct err *e)
{
    struct gather g = {.app = a, .mem = mem, .say = say, .out = out};
    *out = (struct learn_report){0};
    bool ok = store_each_rep_made(a->store, on_rep, &g, e) && (g.n_reps == 0 || watch(&g, e));
    if (ok)
        tell_all(&g);
    out->together = learn_share((struct learn_history){g.told[0].at, g.told[0].n});
    out->apart = learn_share((struct learn_history){g.told[1].at, g.told[1].n});
    free(g.reps);
    free(g.told[0].at);
    free(g.told[1].at);
    return ok;
}
