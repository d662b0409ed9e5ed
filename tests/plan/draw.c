#include "draw.h"

#include <stddef.h>

static uint32_t below(uint32_t *seed, uint32_t n)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (uint32_t)(((uint64_t)*seed * n) >> 32);
}

static void draw_items(struct draw *d, uint32_t *seed, const struct draw_size *size)
{
    for (int i = 0; i < size->items; i++) {
        const int n = 1 + (int)below(seed, 3);
        for (int k = 0; k < n; k++) {
            d->item_sets[i][k] = (int)below(seed, (uint32_t)size->sets);
            d->item_shares[i][k] = 1 + below(seed, 4);
        }
        d->items[i] = (struct plan_item){
            .name = "item",
            .group = (int)below(seed, (uint32_t)size->groups + 1) - 1,
            .weight = 1 + below(seed, 20) / 2.0,
            .sets = d->item_sets[i],
            .set_shares = below(seed, 2) ? d->item_shares[i] : NULL,
            .n_sets = (size_t)n,
            .needs_all = below(seed, 3) == 0,
            .learn = below(seed, 3) ? 0.1 + below(seed, 60) / 100.0 : 0,
        };
    }
}

void draw_rehearsal(struct draw *d, uint32_t seed, const struct draw_size *size)
{
    seed = seed * 2654435761u + 1;
    for (int s = 0; s < size->sets; s++)
        d->sets[s] = (struct plan_set){.label = "set",
                                       .counts = 16,
                                       .play_s = 4 + below(&seed, 300) / 10.0,
                                       .opens = below(&seed, 8) == 0};
    for (int g = 0; g < size->groups; g++)
        d->groups[g] = (struct plan_group){.name = "group",
                                           .attends = below(&seed, 8) > 0,
                                           .apart = below(&seed, 5) > 0,
                                           .there = true,
                                           .up = -1};
    draw_items(d, &seed, size);
    for (int i = 0; i < size->fixed; i++)
        d->fixed[i] = (struct plan_fixed){
            "fixed", PLAN_AT, 18 * 60 + (i + 1) * size->minutes / (size->fixed + 1), 1, false};
    d->in = (struct plan_input){
        .rules = plan_rules_default(),
        .sets = d->sets,
        .groups = d->groups,
        .items = d->items,
        .fixed = d->fixed,
        .n_sets = (size_t)size->sets,
        .n_groups = (size_t)size->groups,
        .n_items = (size_t)size->items,
        .n_fixed = (size_t)size->fixed,
    };
    d->in.rules.minutes = size->minutes;
    d->in.rules.chunk_sets = size->chunk_sets;
    d->in.rules.most_reps = size->most_reps;
    d->in.rules.reset_s = 5 + 5 * (int)below(&seed, 4);
    d->in.rules.apart_reset_s = 5 * (int)below(&seed, 4);
    d->in.rules.setup_s = 15 * (int)below(&seed, 4);
    d->in.rules.least = 1 + (int)below(&seed, 3);
    d->in.rules.least_firm = true;
    d->in.rules.worth = below(&seed, 3) / 4.0;
    d->in.rules.apart_worth = 0.5 + below(&seed, 3) / 4.0;
    d->in.rules.gather_s = 10 * (int)below(&seed, 3);
    d->in.rules.say = 1 + (int)below(&seed, 4);
    d->in.rules.no_run = below(&seed, 2) == 0;
    d->in.rules.breaks = (struct heat_breaks){0};
}
