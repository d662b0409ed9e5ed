#include "plan/edit.h"

#include <math.h>
#include <stdlib.h>

void plan_wishes_free(struct plan_wishes *w)
{
    free(w->at);
    *w = (struct plan_wishes){0};
}

static const struct plan_block *rep_block(const struct plan *plan, size_t block, struct err *e)
{
    if (block >= plan->n_blocks) {
        err_set(e, ERR_INPUT, "the plan has no block %zu; it has %zu", block + 1, plan->n_blocks);
        return NULL;
    }
    const struct plan_block *b = &plan->blocks[block];
    if (b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL)
        return b;
    err_set(e, ERR_INPUT, "block %zu is a %s; change the rules to move or lengthen it", block + 1,
            b->kind == PLAN_BREAK ? "break" : "fixed item");
    return NULL;
}

static bool same_sets(const struct plan_wish *w, const struct plan_block *b)
{
    return w->first_set == b->first_set && w->last_set == b->last_set;
}

static bool touches(const struct plan_wish *w, const struct plan_block *b)
{
    return w->kind != PLAN_TOGETHER && w->kind != PLAN_APART && w->group == b->group &&
           w->first_set <= b->last_set && b->first_set <= w->last_set;
}

static void take_out(struct plan_wishes *w, size_t i)
{
    for (; i + 1 < w->n; i++)
        w->at[i] = w->at[i + 1];
    w->n--;
}

/* A new wish replaces the older ones about the same sets; a kept block keeps its place. */
static void clear_sets(struct plan_wishes *w, const struct plan_block *b, bool moves_too)
{
    for (size_t i = w->n; i-- > 0;)
        if (touches(&w->at[i], b) &&
            (moves_too || w->at[i].kind != PLAN_MOVE || !same_sets(&w->at[i], b)))
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

static struct plan_wish wish_for(enum plan_wish_kind kind, const struct plan_block *b)
{
    return (struct plan_wish){.kind = kind,
                              .group = b->group,
                              .first_set = b->first_set,
                              .last_set = b->last_set,
                              .reps = b->chunk_reps};
}

bool plan_edit_reps(struct plan_wishes *w, const struct plan *plan, size_t block, int reps,
                    struct err *e)
{
    const struct plan_block *b = rep_block(plan, block, e);
    if (!b)
        return false;
    if (reps < 1 || reps > PLAN_REPS_MOST)
        return err_set(e, ERR_INPUT, "%d reps: 1 to %d are possible; drop the block to have none",
                       reps, PLAN_REPS_MOST);
    note_shape(w, plan);
    clear_sets(w, b, false);
    struct plan_wish keep = wish_for(PLAN_KEEP, b);
    keep.reps = reps;
    add_wish(w, keep);
    return true;
}

bool plan_edit_keep(struct plan_wishes *w, const struct plan *plan, size_t block, struct err *e)
{
    const struct plan_block *b = rep_block(plan, block, e);
    return b && plan_edit_reps(w, plan, block, b->chunk_reps, e);
}

bool plan_edit_drop(struct plan_wishes *w, const struct plan *plan, size_t block, struct err *e)
{
    const struct plan_block *b = rep_block(plan, block, e);
    if (!b)
        return false;
    note_shape(w, plan);
    clear_sets(w, b, true);
    add_wish(w, wish_for(PLAN_LEAVE, b));
    return true;
}

bool plan_edit_move(struct plan_wishes *w, const struct plan *plan, size_t block, int to,
                    struct err *e)
{
    const struct plan_block *b = rep_block(plan, block, e);
    if (!b)
        return false;
    if (to < 0)
        return err_set(e, ERR_INPUT, "place %d: places are counted from the first block", to + 1);
    note_shape(w, plan);
    clear_sets(w, b, true);
    add_wish(w, wish_for(PLAN_KEEP, b));
    struct plan_wish move = wish_for(PLAN_MOVE, b);
    move.to = to;
    add_wish(w, move);
    return true;
}

bool plan_edit_release(struct plan_wishes *w, const struct plan *plan, size_t block, struct err *e)
{
    const struct plan_block *b = rep_block(plan, block, e);
    if (!b)
        return false;
    const size_t before = w->n;
    clear_sets(w, b, true);
    return w->n < before ||
           err_set(e, ERR_INPUT, "block %zu was chosen by the plan; there is nothing to take back",
                   block + 1);
}

int plan_edit_place(const struct plan *plan, size_t block)
{
    int place = 0;
    for (size_t i = 0; i < block; i++) {
        const struct plan_block *b = &plan->blocks[i];
        const bool whole = b->kind == plan->blocks[block].kind && b->first_rep == 1 &&
                           b->group == plan->blocks[block].group;
        place += whole;
    }
    return place - (plan->blocks[block].first_rep > 1);
}

const char *plan_edit_report(const struct plan *before, const struct plan *after, struct arena *a)
{
    const double cost = fmax(0, after->best_gain - after->gain);
    const char *text = arena_printf(a, "gain %.1f of at most %.1f", after->gain, after->best_gain);
    if (cost >= 0.05)
        text = arena_printf(a, "%s: your choices cost %.1f (%.0f %%)", text, cost,
                            100 * cost / after->best_gain);
    const double change = before ? after->gain - before->gain : 0;
    if (fabs(change) >= 0.05)
        text = arena_printf(a, "%s; %.1f %s than before", text, fabs(change),
                            change > 0 ? "more" : "less");
    return text;
}
