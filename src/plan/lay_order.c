#include <stdlib.h>
#include <string.h>

#include "plan/lay.h"

enum { TRIES = 20000 }; /* blocks set down while an order is looked for */

/* An order is tried block by block, the heaviest that is left first, and taken back where those
 * after it find no room. */
struct search {
    struct layer *l;
    const struct line *line;
    struct best_choice *from, *to; /* heaviest first; in the order that is being tried */
    bool *used;
    size_t n;
    int tries;
};

static double open_in(const struct line *line, const struct best_choice *c)
{
    double sum = 0;
    for (size_t i = 0; i < line->n_parts; i++)
        if (line->parts[i].set >= c->chunk->first && line->parts[i].set <= c->chunk->last)
            sum += line->parts[i].weight;
    return sum;
}

static bool fill(struct search *s, size_t k, struct place at)
{
    if (k == s->n)
        return plan_track_ends_well(s->l->track, &at);
    for (size_t i = 0; i < s->n; i++) {
        struct place next = at;
        if (s->used[i])
            continue;
        if (s->tries++ > TRIES)
            return false;
        if (!plan_next_block(s->line, s->l->track, &s->from[i], &next, NULL))
            continue;
        s->used[i] = true;
        s->to[k] = s->from[i];
        if (fill(s, k + 1, next))
            return true;
        s->used[i] = false;
    }
    return false;
}

/* Stable: equal ones stay in show order. */
static void sort_by_weight(const struct line *line, struct best_choice *at, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        const struct best_choice c = at[i];
        size_t k = i;
        for (; k > 0 && open_in(line, &at[k - 1]) < open_in(line, &c); k--)
            at[k] = at[k - 1];
        at[k] = c;
    }
}

bool plan_lay_worst_first(struct layer *l, struct solved_line *s)
{
    const size_t n = s->n_choices, bytes = n * sizeof *s->choices;
    struct search search = {.l = l, .line = &s->line, .n = n};
    search.from = arena_alloc(l->a, bytes + 1);
    search.to = arena_alloc(l->a, bytes + 1);
    search.used = arena_alloc(l->a, n + 1);
    memcpy(search.from, s->choices, bytes);
    sort_by_weight(&s->line, search.from, n);
    if (!fill(&search, 0, l->sol->begin))
        return false;
    memcpy(s->choices, search.to, bytes);
    return true;
}
