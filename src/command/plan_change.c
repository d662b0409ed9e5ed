/* The rep plan screen's commands: lengthen, drop, move, keep, take back, tick off. */
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/command.h"
#include "command/plan.h"
#include "command/reload.h"

/* A plan that is being worked through stays as it is: its done blocks would lose their place. One
 * that would come out otherwise today is not changed unasked either. */
static bool may_change(struct desk *d)
{
    const bool same = plan_follow(d);
    const struct desk_plan *p = plan_now(d);
    if (!p || p->line >= p->kept.n_blocks) {
        desk_trouble(d, "no plan yet: plan MINUTES START");
        return false;
    }
    if (!same) {
        desk_trouble(d, "another program made a new plan of the day; look again what to change");
        return false;
    }
    if (!plan_may_change(p)) {
        plan_order_anew(d);
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
static void change(struct desk *d,
                   bool (*edit)(struct plan_wishes *, const struct plan *, struct plan_spot, int,
                                struct err *),
                   int by)
{
    struct err e = {0};
    if (!may_change(d))
        return;
    struct desk_plan *p = plan_now(d);
    struct plan_wishes before = copy_of(&p->wishes);
    if (!edit(&p->wishes, &p->report.plan, plan_spot_of(p), by, &e)) {
        desk_trouble(d, "%s", e.text);
    } else if (plan_remake(d, &e)) {
        remember(p, before);
        return;
    }
    plan_wishes_free(&p->wishes);
    p->wishes = before;
}

/* The last step of all was a tick, which is taken back like any step. */
static bool ticked_last(struct desk *d)
{
    char what[100];
    bool below;
    struct err ignored;
    return store_next_undo(d->app->store, what, &below, &ignored) &&
           (strncmp(what, "tick ", 5) == 0 || strncmp(what, "untick ", 7) == 0);
}

bool plan_undo(struct desk *d)
{
    struct err e = {0};
    if (!plan_now(d))
        return false;
    plan_follow(d);
    struct desk_plan *p = plan_now(d);
    if (!p || !plan_may_change(p) || p->n_before == 0) {
        if (ticked_last(d))
            return false;
        desk_trouble(d, "no change of this plan to take back");
        return true;
    }
    struct plan_wishes now = p->wishes;
    p->wishes = p->before[p->n_before - 1];
    if (plan_remake(d, &e)) {
        p->n_before--;
        plan_wishes_free(&now);
    } else {
        p->wishes = now;
    }
    return true;
}

/* 0 where nothing stands: the edit says why. */
static int reps_at(const struct plan *p, struct plan_spot at)
{
    const struct plan_block *b = &p->blocks[at.block];
    return at.work < b->n_list ? b->list[at.work].reps : 0;
}

static bool edit_reps(struct plan_wishes *w, const struct plan *p, struct plan_spot at, int by,
                      struct err *e)
{
    return plan_edit_reps(w, p, at, reps_at(p, at) + by, e);
}

static bool edit_drop(struct plan_wishes *w, const struct plan *p, struct plan_spot at, int by,
                      struct err *e)
{
    (void)by;
    return plan_edit_drop(w, p, at, e);
}

static bool edit_keep(struct plan_wishes *w, const struct plan *p, struct plan_spot at, int by,
                      struct err *e)
{
    (void)by;
    const struct plan_block *b = &p->blocks[at.block];
    return at.work < b->n_list && b->list[at.work].kept ? plan_edit_release(w, p, at, e)
                                                        : plan_edit_keep(w, p, at, e);
}

/* How many there are that it could change places with, itself too. */
static int places(const struct plan *p, struct plan_spot at)
{
    if (p->blocks[at.block].kind == PLAN_SECTIONAL)
        return (int)p->blocks[at.block].n_list;
    int n = 0;
    for (size_t i = 0; i < p->n_blocks; i++)
        n += p->blocks[i].kind == PLAN_REP;
    return n;
}

static bool edit_move(struct plan_wishes *w, const struct plan *p, struct plan_spot at, int by,
                      struct err *e)
{
    int to = plan_edit_place(p, at) + by;
    if (to < 0)
        return err_set(e, ERR_INPUT, "it is the first already");
    if (to >= places(p, at))
        return err_set(e, ERR_INPUT, "it is the last already");
    return plan_edit_move(w, p, at, to, e);
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

/* "", "3" -> reps made; TICK_BACK takes the tick back; false when it is no number of reps. */
static bool reps_made(const struct rep_block *b, const char *arg, int *out)
{
    char *end;
    const long n = strtol(arg, &end, 10);
    *out = b->reps_made >= 0 ? TICK_BACK : TICK_PLANNED;
    if (!*arg)
        return true;
    *out = (int)n;
    return end != arg && !*end && n >= 0 && n <= PLAN_REPS_MOST;
}

/* "block 3", "block 3.2" where it has more than one chunk */
static const char *name_of(const struct desk_plan *p, size_t row, struct arena *mem)
{
    const struct rep_block *b = &p->kept.blocks[row];
    const bool more =
        b->part > 0 || (row + 1 < p->kept.n_blocks && p->kept.blocks[row + 1].block == b->block);
    return more ? arena_printf(mem, "block %d.%d", b->block + 1, b->part + 1)
                : arena_printf(mem, "block %d", b->block + 1);
}

static void say_ticked(struct desk *d, bool back, const struct plan_ticked *t)
{
    const char *colon = *t->lines ? ": " : "";
    if (back)
        desk_say(d, "not done after all; %d mark%s open again%s%s", t->marks,
                 t->marks == 1 ? " is" : "s are", colon, t->lines);
    else
        desk_say(d, "done; %d mark%s now repped%s%s", t->marks, t->marks == 1 ? "" : "s", colon,
                 t->lines);
}

static void tick_row(struct desk *d, const struct desk_plan *p, int reps)
{
    struct err e = {0};
    struct arena mem = {0};
    struct plan_ticked ticked;
    const struct plan_tick t = {p->kept.id, p->line, 1, reps, name_of(p, p->line, &mem)};
    const bool ok = app_plan_tick(d->app, &t, &mem, &ticked, &e);
    desk_wrote(d);
    const bool read = desk_reload(d, ok ? &e : &(struct err){0}); /* it moved, either way */
    plan_follow(d);
    if (ok && read)
        say_ticked(d, reps == TICK_BACK, &ticked);
    else
        desk_trouble(d, "%s", e.text);
    arena_free(&mem);
}

void command_tick(struct desk *d, const char *arg)
{
    int reps;
    const bool same = plan_follow(d); /* whose marks become repped is read from the file */
    struct desk_plan *p = plan_now(d);
    if (!p || p->line >= p->kept.n_blocks)
        desk_trouble(d, "no plan yet: plan MINUTES START");
    else if (!same)
        desk_trouble(d, "another program made a new plan of the day; look again what to tick off");
    else if (!reps_made(&p->kept.blocks[p->line], arg, &reps))
        desk_trouble(d, "'%.40s' is not a number of reps from 0 to %d", arg, PLAN_REPS_MOST);
    else
        tick_row(d, p, reps);
}

bool plan_moment(struct desk *d, int64_t *clip, int64_t *at_us, int64_t *mark)
{
    const struct desk_plan *p = plan_now(d);
    struct plan_found found;
    struct err e = {0};
    if (!p || p->line >= p->kept.n_blocks) {
        desk_trouble(d, "no plan yet: plan MINUTES START");
        return false;
    }
    if (!app_plan_moment(d->app, &p->kept.blocks[p->line], &found, &e)) {
        desk_trouble(d, "%s", e.text);
        return false;
    }
    *clip = found.clip;
    *at_us = found.at_us;
    *mark = found.mark;
    return true;
}
