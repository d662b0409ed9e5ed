#include "plan/plan.h"

#include <stdio.h>

#include "plan/caution.h"
#include "plan/check.h"
#include "plan/lay.h"
#include "plan/shorten.h"
#include "plan/solve.h"
#include "plan/track.h"

struct plan_rules plan_rules_default(void)
{
    return (struct plan_rules){
        .minutes = 60,
        .start_min = 18 * 60,
        .least = 5,
        .reset_s = 35,
        .apart_reset_s = 25,
        .setup_s = 60,
        .gather_s = 120,
        .chunk_sets = 4,
        .most_reps = 8,
        .say = 2,
        .learn = 0.3,
        .apart_learn = 0.4,
        .apart_worth = 1,
        .worth = 0.1,
        .breaks = heat_breaks_default(),
    };
}

static double open_weight(const struct plan_input *in)
{
    double weight = 0;
    int group;
    for (size_t i = 0; i < in->n_items; i++)
        if (plan_line_of(in, i, false, &group) == PLAN_WORKED)
            weight += in->items[i].weight;
    return weight;
}

static void fill(const struct plan_input *in, const struct solution *sol, const struct laid *laid,
                 const struct track *track, struct plan *out)
{
    *out = (struct plan){
        .start_min = in->rules.start_min,
        .seconds = in->rules.minutes * 60,
        .blocks = laid->blocks,
        .n_blocks = laid->n_blocks,
        .outcomes = laid->outcomes,
        .n_items = in->n_items,
        .gain = laid->gain,
        .weight = open_weight(in),
        .price = in->rules.worth * track->spent[laid->end.t],
        .apart = sol->apart,
        .apart_to_s = sol->apart_to * PLAN_MINUTE_S,
        .not_worst_first = laid->not_worst_first,
        .spare_s = laid->spare_s,
    };
}

/* What a plan without wishes would have. */
static bool cost_of_wishes(const struct plan_input *in, struct track *track, struct arena *a,
                           struct plan *out, struct err *e)
{
    struct plan_input asked = *in;
    struct solution sol;
    asked.n_wishes = 0;
    if (!plan_solve(&asked, track, a, &sol, e))
        return false;
    out->cost = sol.value - (out->gain - out->price);
    return true;
}

static void number(struct plan *plan)
{
    for (size_t i = 0; i < plan->n_blocks; i++) {
        struct plan_block *b = &plan->blocks[i];
        b->number = (int)i;
        for (size_t k = 0; k < b->n_list; k++) {
            b->list[k].part = (int)k;
            b->list[k].parts = (int)b->n_list;
        }
    }
}

static bool make(const struct plan_input *asked, struct arena *scratch, struct arena *a,
                 struct plan *out, struct err *e)
{
    struct plan_input own = *asked, *in = &own;
    struct track track;
    struct solution sol;
    struct laid laid;
    if (!plan_track_build(in, scratch, &track, e))
        return false;
    plan_track_give_way(&track, &own.rules);
    if (plan_may_shorten(in) && (track.short_of_rest || !plan_solve_room(in, &track, scratch, e)))
        return plan_shorten(in, e);
    if (track.short_of_rest)
        return err_set(e, ERR_INPUT,
                       "%d min have no room for the rest that the heat rule asks; take other "
                       "minutes, or let items that are rest begin elsewhere. " HEAT_REMINDER,
                       in->rules.minutes);
    if (!plan_solve(in, &track, scratch, &sol, e))
        return false;
    plan_lay(in, &sol, &track, a, &laid);
    fill(in, &sol, &laid, &track, out);
    if (in->n_wishes > 0 && !cost_of_wishes(in, &track, scratch, out, e))
        return false;
    number(out);
    plan_caution(in, &laid, a, out);
    return true;
}

bool plan_make(const struct plan_input *in, struct arena *a, struct plan *out, struct err *e)
{
    *out = (struct plan){0};
    if (!plan_check(in, e))
        return false;
    struct arena scratch = {0};
    const bool ok = make(in, &scratch, a, out, e);
    arena_free(&scratch);
    return ok;
}

const char *plan_left_text(enum plan_left left)
{
    static const char *const text[] = {
        [PLAN_WORKED] = "",
        [PLAN_LEFT_TIME] = "no time: other blocks mend more",
        [PLAN_LEFT_WORTH] = "too little to mend for the minutes of a block (--least, --worth)",
        [PLAN_LEFT_ABSENT] = "nobody of this section attends",
        [PLAN_LEFT_OUT] = "its sets were left out by hand",
        [PLAN_LEFT_CLOSED] = "nothing open",
        [PLAN_LEFT_HEAT] = "no rehearsal outdoors by the heat policy",
    };
    return text[left];
}
