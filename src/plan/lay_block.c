#include <limits.h>

#include "plan/lay.h"

struct plan_block *plan_lay_block(struct layer *l, enum plan_kind kind, int from, int to)
{
    struct laid *out = l->out;
    out->blocks = array_grow(out->blocks, out->n_blocks, &out->cap, sizeof *out->blocks);
    out->blocks[out->n_blocks] = (struct plan_block){
        .kind = kind,
        .start_s = from * PLAN_MINUTE_S,
        .seconds = (to - from) * PLAN_MINUTE_S,
        .group = PLAN_EVERYONE,
        .name = "",
    };
    return &out->blocks[out->n_blocks++];
}

void plan_lay_sets(const struct plan_input *in, struct plan_work *w)
{
    for (int s = w->first_set; s <= w->last_set; s++) {
        const struct plan_set *set = &in->sets[s];
        const double bpm[2] = {set->bpm_from, set->bpm_to};
        w->counts += set->counts < INT_MAX - w->counts ? set->counts : 0; /* absurd ones left out */
        for (int i = 0; i < 2; i++) {
            if (!(bpm[i] > 0))
                continue;
            w->bpm_low = w->bpm_low > 0 && w->bpm_low < bpm[i] ? w->bpm_low : bpm[i];
            w->bpm_high = w->bpm_high > bpm[i] ? w->bpm_high : bpm[i];
        }
    }
}
