/* The rep plan screen's commands: make, lengthen, drop, move, keep, tick off. */
#include "command/plan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "sys/clock.h"

enum { USUAL_START = 18 * 60 };

void plan_forget(struct desk *d)
{
    if (!d->plan)
        return;
    arena_free(&d->plan->memory);
    plan_wishes_free(&d->plan->wishes);
    for (size_t i = 0; i < d->plan->n_before; i++)
        plan_wishes_free(&d->plan->before[i]);
    free(d->plan);
    d->plan = NULL;
}

/* Makes the plan anew around the wishes and stores it; on failure everything stays as it was. */
static bool make(struct desk *d, struct err *e)
{
    struct desk_plan *p = d->plan;
    struct arena fresh = {0};
    struct plan_report r;
    struct rep_plan kept;
    struct plan_choice choice = {.rules = plan_rules_default(),
                                 .date = p->date,
                                 .wishes = p->wishes.at,
                                 .n_wishes = p->wishes.n};
    choice.rules.minutes = p->minutes;
    choice.rules.start_min = p->start_min;
    if (!app_plan(d->app, &choice, &fresh, &r, e) || !app_plan_keep(d->app, &r, &fresh, &kept, e)) {
        arena_free(&fresh);
        return false;
    }
    d->version = store_version(d->app->store);
    p->gain_before = p->report.plan.gain;
    arena_free(&p->memory);
    p->memory = fresh;
    p->report = r;
    p->kept = kept;
    if (p->line >= r.plan.n_blocks)
        p->line = r.plan.n_blocks ? r.plan.n_blocks - 1 : 0;
    return true;
}

static bool ticked(const struct rep_plan *p)
{
    for (size_t i = 0; i < p->n_blocks; i++)
        if (p->blocks[i].reps_made >= 0)
            return true;
    return false;
}

/* Today's plan as it is stored, with its ticks; false when there is none. */
static bool open_stored(struct desk *d)
{
    struct err none;
    struct desk_plan *p = xcalloc(1, sizeof *p);
    clock_today(p->date);
    if (!store_plan(d->app->store, &p->memory, p->date, &p->kept, &none)) {
        arena_free(&p->memory);
        free(p);
        return false;
    }
    p->stored = true;
    p->minutes = p->kept.minutes;
    p->start_min = p->kept.start_min;
    d->plan = p;
    desk_say(d, "today's plan as it is stored; :plan MINUTES START makes a new one");
    return true;
}

/* "plan", "plan 90", "plan 90 18:00" */
void command_plan(struct desk *d, const char *arg)
{
    int minutes = 0, h = USUAL_START / 60, m = 0, used = 0;
    struct err e;
    if (!*arg && d->plan) {
        d->screen = SCREEN_PLAN;
        return;
    }
    if (!*arg && open_stored(d)) {
        d->screen = SCREEN_PLAN;
        return;
    }
    if (!*arg) {
        ask_line(d, ASK_PLAN, "90 18:00");
        return;
    }
    if (sscanf(arg, "%d %n%d:%d %n", &minutes, &used, &h, &m, &used) < 1 || arg[used] ||
        minutes < 1 || minutes > PLAN_MINUTES_MOST || h < 0 || h > 23 || m < 0 || m > 59) {
        desk_trouble(d, "write the minutes and the start, as in: plan 90 18:00");
        return;
    }
    plan_forget(d);
    d->plan = xcalloc(1, sizeof *d->plan);
    d->plan->minutes = minutes;
    d->plan->start_min = h * 60 + m;
    clock_today(d->plan->date);
    if (!make(d, &e)) {
        desk_trouble(d, "%s", e.text);
        plan_forget(d);
        return;
    }
    d->screen = SCREEN_PLAN;
    desk_say(d, "gain %.1f of %.1f; stored as the plan of %s", d->plan->report.plan.gain,
             d->plan->report.plan.weight, d->plan->date);
}

static void report(struct desk *d, bool changed, struct err *e)
{
    struct desk_plan *p = d->plan;
    if (changed && make(d, e)) {
        double now = p->report.plan.gain, best = p->report.plan.best_gain;
        desk_say(d, "gain %.1f (%+.1f); the best without your choices is %.1f", now,
                 now - p->gain_before, best);
    } else {
        desk_trouble(d, "%s", e->text);
    }
}

/* A plan that is being worked through stays as it is: its done blocks would lose their place. */
static bool may_change(struct desk *d)
{
    const struct desk_plan *p = d->plan;
    if (!p || p->line >= p->kept.n_blocks) {
        desk_trouble(d, "no plan yet: plan MINUTES START");
        return false;
    }
    if (p->stored || ticked(&p->kept)) {
        desk_trouble(d, p->stored
                            ? "this is the stored plan; :plan MINUTES START makes a new one"
                            : "blocks are ticked off; :plan MINUTES START plans what is left");
        return false;
    }
    return true;
}

static struct plan_wishes copy_of(const struct plan_wishes *w)
{
    struct plan_wishes out = {0};
    for (size_t i = 0; i < w->n; i++) {
        out.at = array_grow(out.at, out.n, &out.cap, sizeof *out.at);
        out.at[out.n++] = w->at[i];
    }
    return out;
}

static void remember(struct desk_plan *p, struct plan_wishes before)
{
    if (p->n_before == PLAN_UNDO) {
        plan_wishes_free(&p->before[0]);
        memmove(p->before, p->before + 1, (PLAN_UNDO - 1) * sizeof *p->before);
        p->n_before--;
    }
    p->before[p->n_before++] = before;
}

/* A change is tried on the list of wishes; when the plan refuses it, the list is put back. */
static void
change(struct desk *d,
       bool (*edit)(struct plan_wishes *, const struct plan *, size_t, int, struct err *), int by)
{
    struct err e = {0};
    struct desk_plan *p = d->plan;
    if (!may_change(d))
        return;
    struct plan_wishes before = copy_of(&p->wishes);
    bool ok = edit(&p->wishes, &p->report.plan, p->line, by, &e);
    double gain = p->report.plan.gain;
    report(d, ok, &e);
    if (!ok || (d->trouble && p->report.plan.gain == gain)) {
        plan_wishes_free(&p->wishes);
        p->wishes = before;
    } else {
        remember(p, before);
    }
}

bool plan_undo(struct desk *d)
{
    struct err e;
    struct desk_plan *p = d->plan;
    if (d->screen != SCREEN_PLAN || !p)
        return false;
    if (p->stored || p->n_before == 0 || ticked(&p->kept)) {
        desk_trouble(d, "no change of this plan to take back");
        return true;
    }
    plan_wishes_free(&p->wishes);
    p->wishes = p->before[--p->n_before];
    report(d, true, &e);
    return true;
}

static bool edit_reps(struct plan_wishes *w, const struct plan *p, size_t block, int by,
                      struct err *e)
{
    return plan_edit_reps(w, p, block, p->blocks[block].chunk_reps + by, e);
}

static bool edit_drop(struct plan_wishes *w, const struct plan *p, size_t block, int by,
                      struct err *e)
{
    (void)by;
    return plan_edit_drop(w, p, block, e);
}

static bool edit_keep(struct plan_wishes *w, const struct plan *p, size_t block, int by,
                      struct err *e)
{
    (void)by;
    return p->blocks[block].kept ? plan_edit_release(w, p, block, e)
                                 : plan_edit_keep(w, p, block, e);
}

static bool edit_move(struct plan_wishes *w, const struct plan *p, size_t block, int by,
                      struct err *e)
{
    int to = plan_edit_place(p, block) + by;
    if (to < 0)
        return err_set(e, ERR_INPUT, "it is the first already");
    return plan_edit_move(w, p, block, to, e);
}

void command_reps(struct desk *d, const char *arg)
{
    change(d, edit_reps, *arg == '-' ? -1 : 1);
}

void command_drop(struct desk *d, const char *arg)
{
    (void)arg;
    change(d, edit_drop, 0);
}

void command_keep(struct desk *d, const char *arg)
{
    (void)arg;
    change(d, edit_keep, 0);
}

void command_shift(struct desk *d, const char *arg)
{
    change(d, edit_move, *arg == '-' ? -1 : 1);
}

void command_tick(struct desk *d, const char *arg)
{
    struct desk_plan *p = d->plan;
    struct err e;
    int repped;
    if (!p || p->line >= p->kept.n_blocks) {
        desk_trouble(d, "no plan yet: plan MINUTES START");
        return;
    }
    struct rep_block *b = &p->kept.blocks[p->line];
    int reps = b->reps_made >= 0 && !*arg ? -1 : *arg ? atoi(arg) : b->reps;
    if (!app_plan_tick(d->app, &p->kept, p->line, reps, &repped, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    b->reps_made = reps;
    if (!desk_reload(d, &e))
        desk_trouble(d, "%s", e.text);
    else if (reps < 0)
        desk_say(d, "not done after all");
    else
        desk_say(d, "done; %d mark%s now repped", repped, repped == 1 ? "" : "s");
}

bool plan_moment(const struct desk *d, int64_t *clip, int64_t *at_us, int64_t *mark)
{
    const struct desk_plan *p = d->plan;
    if (!p || p->stored || p->line >= p->report.plan.n_blocks)
        return false;
    const struct plan_block *b = &p->report.plan.blocks[p->line];
    for (size_t i = 0; i < b->n_fixes; i++) {
        const struct plan_target *t = &p->report.targets[b->fixes[i]];
        for (size_t k = 0; k < t->n_moments; k++) {
            const struct report_moment *m = &t->moments[k];
            if (m->set < b->first_set || m->set > b->last_set)
                continue;
            *clip = p->report.clips[m->at.clip].id;
            *at_us = m->at.at_us;
            *mark = m->mark;
            return true;
        }
    }
    return false;
}
