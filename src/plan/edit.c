#include "plan/edit.h"

#include <math.h>
#include <stdlib.h>

void plan_wishes_free(struct plan_wishes *w)
{
    free(w->at);
    *w = (struct plan_wishes){0};
}

/* What stands at the spot, and its block's people. */
struct target {
    int group;
    const struct plan_work *work;
};

static bool find(const struct plan *plan, struct plan_spot spot, struct target *out, struct err *e)
{
    const size_t block = spot.block;
    if (block >= plan->n_blocks)
        return err_set(e, ERR_INPUT, "the plan has no block %zu; it has %zu", block + 1,
                       plan->n_blocks);
    const struct plan_block *b = &plan->blocks[block];
    static const char *const names[] = {
        [PLAN_BREAK] = "a break", [PLAN_FIXED] = "a fixed item", [PLAN_RUN] = "what is left over"};
    if (b->kind != PLAN_REP && b->kind != PLAN_SECTIONAL)
        return err_set(e, ERR_INPUT, "block %zu is %s; the form changes it", block + 1,
                       names[b->kind]);
    if (spot.work >= b->n_list || b->n_fixes == 0)
        return err_set(e, ERR_INPUT, "nothing of this section is open here");
    *out = (struct target){b->group, &b->list[spot.work]};
    return true;
}

static bool same_sets(const struct plan_wish *w, const struct target *t)
{
    return w->first_set == t->work->first_set && w->last_set == t->work->last_set;
}

static bool touches(const struct plan_wish *w, const struct target *t)
{
    return w->kind != PLAN_TOGETHER && w->kind != PLAN_APART && w->group == t->group &&
           w->first_set <= t->work->last_set && t->work->first_set <= w->last_set;
}

static void take_out(struct plan_wishes *w, size_t i)
{
    for (; i + 1 < w->n; i++)
        w->at[i] = w->at[i + 1];
    w->n--;
}

/* A new wish replaces the older ones about the same sets; a kept block keeps its place. */
static void clear_sets(struct plan_wishes *w, const struct target *t, bool moves_too)
{
    for (size_t i = w->n; i-- > 0;)
        if (touches(&w->at[i], t) &&
            (moves_too || w->at[i].kind != PLAN_MOVE || !same_sets(&w->at[i], t)))
            take_out(w, i);
}

static void add_wish(struct plan_wishes *w, struct plan_wish wish)
{
    w->at = array_grow(w->at, w->n, &w->cap, sizeof *w->at);
    w->at[w->n++] = wish;
}

static void note_shape(struct plan_wishes *w, const struct plan *plan)
{
    for (size_t i = w->n; i-- > 0;)
        if (w->at[i].kind == PLAN_TOGETHER || w->at[i].kind == PLAN_APART)
            take_out(w, i);
    add_wish(w, (struct plan_wish){.kind = plan->apart ? PLAN_APART : PLAN_TOGETHER,
                                   .group = PLAN_EVERYONE});
}

static struct plan_wish wish_for(enum plan_wish_kind kind, const struct target *t)
{
    return (struct plan_wish){.kind = kind,
                              .group = t->group,
                              .first_set = t->work->first_set,
                              .last_set = t->work->last_set,
                              .reps = t->work->reps};
}

bool plan_edit_reps(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot, int reps,
                    struct err *e)
{
    struct target t;
    if (!find(plan, spot, &t, e))
        return false;
    if (reps < 1 || reps > PLAN_REPS_MOST)
        return err_set(e, ERR_INPUT, "%d reps: 1 to %d are possible; drop the block to have none",
                       reps, PLAN_REPS_MOST);
    note_shape(w, plan);
    clear_sets(w, &t, false);
    struct plan_wish keep = wish_for(PLAN_KEEP, &t);
    keep.reps = reps;
    add_wish(w, keep);
    return true;
}

bool plan_edit_keep(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot,
                    struct err *e)
{
    struct target t;
    return find(plan, spot, &t, e) && plan_edit_reps(w, plan, spot, t.work->reps, e);
}

bool plan_edit_drop(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot,
                    struct err *e)
{
    struct target t;
    if (!find(plan, spot, &t, e))
        return false;
    note_shape(w, plan);
    clear_sets(w, &t, true);
    add_wish(w, wish_for(PLAN_LEAVE, &t));
    return true;
}

bool plan_edit_move(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot, int to,
                    struct err *e)
{
    struct target t;
    if (!find(plan, spot, &t, e))
        return false;
    if (to < 0)
        return err_set(e, ERR_INPUT, "place %d: places are counted from the first block", to + 1);
    note_shape(w, plan);
    clear_sets(w, &t, true);
    add_wish(w, wish_for(PLAN_KEEP, &t));
    struct plan_wish move = wish_for(PLAN_MOVE, &t);
    move.to = to;
    add_wish(w, move);
    return true;
}

bool plan_edit_release(struct plan_wishes *w, const struct plan *plan, struct plan_spot spot,
                       struct err *e)
{
    struct target t;
    if (!find(plan, spot, &t, e))
        return false;
    const size_t before = w->n;
    clear_sets(w, &t, true);
    return w->n < before ||
           err_set(e, ERR_INPUT, "block %zu was chosen by the plan; there is nothing to take back",
                   spot.block + 1);
}

int plan_edit_place(const struct plan *plan, struct plan_spot spot)
{
    if (plan->blocks[spot.block].kind == PLAN_SECTIONAL)
        return (int)spot.work;
    int place = 0;
    for (size_t i = 0; i < spot.block; i++)
        place += plan->blocks[i].kind == PLAN_REP;
    return place;
}

const char *plan_edit_report(const struct plan *after, double gain_before, struct arena *a)
{
    const double change = after->gain - gain_before;
    const char *text = arena_printf(a, "gain %.1f", after->gain);
    if (fabs(change) >= 0.05)
        text = arena_printf(a, "%s, %.1f %s than before", text, fabs(change),
                            change > 0 ? "more" : "less");
    if (after->cost >= 0.05)
        text = arena_printf(a, "%s; your choices cost %.1f, with the minutes they take", text,
                            after->cost);
    return text;
}
