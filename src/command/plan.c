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

/* "plan", "plan 90", "plan 90 18:00" */
void command_plan(struct desk *d, const char *arg)
{
    int minutes = 0, h = USUAL_START / 60, m = 0;
    struct err e;
    if (!*arg && d->plan) {
        d->screen = SCREEN_PLAN;
        return;
    }
    if (!*arg) {
        d->ask = ASK_PLAN;
        snprintf(d->ask_text, sizeof d->ask_text, "90 18:00");
        return;
    }
    if (sscanf(arg, "%d %d:%d", &minutes, &h, &m) < 1 || minutes < 1 ||
        minutes > PLAN_MINUTES_MOST || h < 0 || h > 23 || m < 0 || m > 59) {
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

/* A change is tried on the list of wishes; when the plan refuses it, the list is put back. */
static void
change(struct desk *d,
       bool (*edit)(struct plan_wishes *, const struct plan *, size_t, int, struct err *), int by)
{
    struct err e = {0};
    struct desk_plan *p = d->plan;
    if (!p || p->line >= p->report.plan.n_blocks) {
        desk_trouble(d, "no plan yet: plan MINUTES START");
        return;
    }
    struct plan_wishes before = {0};
    for (size_t i = 0; i < p->wishes.n; i++) {
        before.at = array_grow(before.at, before.n, &before.cap, sizeof *before.at);
        before.at[before.n++] = p->wishes.at[i];
    }
    bool ok = edit(&p->wishes, &p->report.plan, p->line, by, &e);
    double gain = p->report.plan.gain;
    report(d, ok, &e);
    if (!ok || (d->trouble && p->report.plan.gain == gain)) {
        plan_wishes_free(&p->wishes);
        p->wishes = before;
    } else {
        plan_wishes_free(&before);
    }
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
    if (!p || p->line >= p->report.plan.n_blocks)
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
