/* The sets of a plan: how long they take, how large the steps are. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/plan_parts.h"
#include "app/ties.h"

#define STEP_IN        22.5
#define BACKWARD_STEPS 4.0

/* The longest step of the move and whether somebody goes backward, from the dots of both ends. */
static void add_steps(const struct show *show, struct plan_set *sets)
{
    struct dot *last = xcalloc(show->n_performers * (show->n_sets + 1), sizeof *last);
    bool *known = xcalloc(show->n_performers * (show->n_sets + 1), sizeof *known);
    for (size_t i = 0; i < show->n_dots; i++) {
        size_t at = (size_t)show->dots[i].performer * show->n_sets + (size_t)show->dots[i].set;
        last[at] = show->dots[i];
        known[at] = true;
    }
    for (size_t p = 0; p < show->n_performers; p++)
        for (size_t s = 1; s < show->n_sets; s++) {
            size_t at = p * show->n_sets + s;
            if (!known[at] || !known[at - 1] || sets[s].counts <= 0)
                continue;
            double dx = last[at].x - last[at - 1].x, dy = last[at].y - last[at - 1].y;
            double step = hypot(dx, dy) / sets[s].counts * STEP_IN;
            sets[s].step_in = step > sets[s].step_in ? step : sets[s].step_in;
            sets[s].backward |= dy > BACKWARD_STEPS && dy > fabs(dx);
        }
    free(last);
    free(known);
}

struct plan_set *part_sets(struct app *a, struct arena *mem)
{
    const struct show *show = &a->show;
    struct plan_set *out = arena_alloc(mem, (show->n_sets + 1) * sizeof *out);
    const struct move *moves = app_moves(show, mem);
    for (size_t i = 0; i < show->n_sets; i++)
        out[i] = (struct plan_set){
            .label = arena_strdup(mem, show->sets[i].label),
            .counts = show->sets[i].counts,
            .play_s = tempo_known(&moves[i]) ? tempo_length(&moves[i]) : NAN,
            .bpm_from = show->sets[i].tempo,
            .bpm_to = show->sets[i].tempo_end,
        };
    add_steps(show, out);
    return out;
}

bool part_seconds(struct app *a, const struct plan_choice *choice, struct plan_set *sets,
                  struct arena *mem, struct err *e)
{
    for (size_t i = 0; i < choice->n_seconds; i++) {
        char *label = arena_strdup(mem, choice->seconds[i]), *s = strrchr(label, ':'), *end = s;
        double seconds = s ? strtod(s + 1, &end) : 0;
        if (!s || end == s + 1 || *end || !(seconds > 0 && seconds <= 3600))
            return err_set(e, ERR_USAGE, "plan: write --seconds SET:SECONDS, not '%s'", label);
        *s = '\0';
        int set = move_find(app_moves(&a->show, mem), a->show.n_sets, label, e);
        if (set < 0)
            return false;
        sets[set].play_s = seconds;
    }
    return true;
}
