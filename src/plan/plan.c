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
        .reset_s = 35,
        .apart_reset_s = 25,
        .setup_s = 60,
        .gather_s = 120,
        .chunk_sets = 4,
        .most_reps = 8,
        .say = 2,
        .learn = 0.3,
        .apart_learn = 0.4,
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
                 double best_gain, struct arena *a, struct plan *out)
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
        .best_gain = best_gain,
        .apart = sol->apart,
        .apart_to_s = sol->apart_steps * PLAN_STEP_S,
        .spare_s = laid->spare_s,
    };
    plan_caution(in, laid, a, out);
    bool begun = false;
    for (size_t i = 0; i < out->n_blocks && !begun; i++) {
        begun = out->blocks[i].kind == PLAN_SECTIONAL;
        out->apart_from_s = begun ? out->blocks[i].start_s : 0;
    }
}

/* The gain that a plan without wishes would have. */
static bool best_without(const struct plan_input *in, struct track *track, struct arena *a,
                         double *out, struct err *e)
{
    struct plan_input asked = *in;
    struct solution sol;
    asked.n_wishes = 0;
    if (!plan_solve(&asked, track, a, &sol, e))
        return false;
    *out = sol.gain;
    return true;
}

static bool make(const struct plan_input *in, struct arena *scratch, struct arena *a,
                 struct plan *out, struct err *e)
{
    struct track track;
    struct solution sol;
    struct laid laid;
    if (!plan_track_build(in, scratch, &track, e))
        return false;
    if (plan_may_shorten(in) && (track.short_of_rest || !plan_solve_room(in, &track, scratch, e)))
        return plan_shorten(in, e);
    if (track.short_of_rest)
        return err_set(e, ERR_INPUT,
                       "%d min have no room for the rest that the heat rule asks; take other "
                       "minutes, or let items that are rest begin elsewhere. " HEAT_REMINDER,
                       in->rules.minutes);
    if (!plan_solve(in, &track, scratch, &sol, e))
        return false;
    double best_gain = sol.gain;
    if (in->n_wishes > 0 && !best_without(in, &track, scratch, &best_gain, e))
        return false;
    plan_lay(in, &sol, &track, a, &laid);
    fill(in, &sol, &laid, best_gain, a, out);
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
        [PLAN_LEFT_ABSENT] = "nobody of this section attends",
        [PLAN_LEFT_OUT] = "its sets were left out by hand",
        [PLAN_LEFT_CLOSED] = "nothing open",
        [PLAN_LEFT_HEAT] = "no rehearsal outdoors by the heat policy",
    };
    return text[left];
}
