#include "plan/line.h"

#include <math.h>
#include <stdlib.h>

#include "plan/caution.h"

enum plan_left plan_line_of(const struct plan_input *in, size_t item, bool apart, int *group)
{
    const struct plan_item *it = &in->items[item];
    *group = PLAN_EVERYONE;
    if (!(it->weight > 0))
        return PLAN_LEFT_CLOSED;
    if (it->group == PLAN_EVERYONE)
        return it->nobody ? PLAN_LEFT_ABSENT : PLAN_WORKED;
    const struct plan_group *g = &in->groups[it->group];
    if (!g->attends)
        return PLAN_LEFT_ABSENT;
    if (apart && g->apart && !it->needs_all)
        *group = it->group;
    return PLAN_WORKED;
}

bool plan_line_left_out(const struct plan_input *in, const struct plan_item *item, int group,
                        int set)
{
    for (size_t i = 0; i < in->n_wishes; i++) {
        const struct plan_wish *w = &in->wishes[i];
        const bool theirs = w->group == group || (w->group == item->group && !item->needs_all);
        if (w->kind == PLAN_LEAVE && theirs && set >= w->first_set && set <= w->last_set)
            return true;
    }
    return false;
}

double plan_line_weight(const struct plan_item *item, size_t k)
{
    if (!item->set_shares)
        return item->weight / (double)item->n_sets;
    double all = 0;
    for (size_t i = 0; i < item->n_sets; i++)
        all += item->set_shares[i];
    return item->weight * item->set_shares[k] / all;
}

double plan_line_part_gain(const struct line_part *part, double share, int reps)
{
    return part->weight * (1 - pow(1 - share * part->learn, reps));
}

int plan_line_steps(const struct line_chunk *c, int reps)
{
    return c->lead_steps + (reps - 1) * c->rep_steps;
}

int plan_line_minutes(const struct line *l, const struct line_chunk *c, int reps)
{
    const int minutes =
        (plan_line_steps(c, reps) * PLAN_STEP_S + PLAN_MINUTE_S - 1) / PLAN_MINUTE_S;
    return minutes > l->least ? minutes : l->least;
}

/* A walked rep is none of them, nor does it end a row. */
int plan_line_row(const struct line_chunk *c, int row, int reps)
{
    return c->hard ? row + reps - (c->walk_steps > 0) : 0;
}

static bool walks(const struct plan_input *in, int first, int last)
{
    for (int s = first; s <= last; s++)
        if (in->sets[s].walk && *in->sets[s].walk)
            return true;
    return false;
}

enum { FULL_TEMPO = 1, HALF_TEMPO = 2 }; /* how often the playing time */

/* Steps of a rep of these sets; 0 when a set's seconds are not known. */
static int rep_steps(const struct plan_input *in, const struct line *l, int first, int last,
                     int extra_s, int times)
{
    const bool everyone = l->group == PLAN_EVERYONE;
    double seconds = extra_s + (everyone ? in->rules.reset_s : in->rules.apart_reset_s);
    for (int s = first; s <= last; s++) {
        if (!(in->sets[s].play_s >= 0))
            return 0;
        seconds += times * in->sets[s].play_s;
    }
    const int steps = (int)ceil(seconds / PLAN_STEP_S - 1e-9);
    return steps > 0 ? steps : 1;
}

/* What is mended here, as it counts. */
static double weight_at(const struct plan_input *in, const struct plan_item *it, size_t k,
                        int group)
{
    const double worth = group == PLAN_EVERYONE ? 1 : in->rules.apart_worth;
    return worth * plan_line_weight(it, k);
}

static double learn_of(const struct plan_input *in, const struct plan_item *it, int group)
{
    if (it->learn > 0)
        return it->learn;
    return group == PLAN_EVERYONE ? in->rules.learn : in->rules.apart_learn;
}

static int by_set(const void *a, const void *b)
{
    const struct line_part *x = a, *y = b;
    return x->set != y->set ? (x->set > y->set) - (x->set < y->set)
                            : (x->item > y->item) - (x->item < y->item);
}

static void collect_parts(const struct plan_input *in, bool apart, struct arena *a, struct line *l)
{
    size_t most = 0;
    for (size_t i = 0; i < in->n_items; i++)
        most += in->items[i].n_sets;
    l->parts = arena_alloc(a, most * sizeof *l->parts);
    for (size_t i = 0; i < in->n_items; i++) {
        const struct plan_item *it = &in->items[i];
        int group;
        if (plan_line_of(in, i, apart, &group) != PLAN_WORKED || group != l->group)
            continue;
        for (size_t k = 0; k < it->n_sets; k++)
            if (weight_at(in, it, k, group) > 0 && !plan_line_left_out(in, it, group, it->sets[k]))
                l->parts[l->n_parts++] = (struct line_part){.item = (int)i,
                                                            .set = it->sets[k],
                                                            .weight = weight_at(in, it, k, group),
                                                            .learn = learn_of(in, it, group)};
    }
    if (l->n_parts)
        qsort(l->parts, l->n_parts, sizeof *l->parts, by_set);
}

/* What wishes say about a set: -1 it is left out, k > 0 it belongs to keep number k - 1, 0 nothing.
 */
static int *read_wishes(const struct plan_input *in, const struct line *l, struct arena *a)
{
    int *claim = arena_alloc(a, (size_t)l->n_sets * sizeof *claim);
    for (size_t i = 0; i < in->n_wishes; i++) {
        const struct plan_wish *w = &in->wishes[i];
        if (w->group != l->group || (w->kind != PLAN_KEEP && w->kind != PLAN_LEAVE))
            continue;
        for (int s = w->first_set; s <= w->last_set; s++)
            claim[s] = w->kind == PLAN_LEAVE ? -1 : (int)i + 1;
    }
    return claim;
}

struct cutter {
    const struct plan_input *in;
    struct arena *a;
    struct line *line;
    size_t cap;
    const size_t *parts_at; /* parts parts_at[s] .. parts_at[s+1]-1 are of set s */
    int *seen;              /* by item: the trial, from 1, that counted it last */
    int trial;              /* chunks that were looked at, kept or not */
};

static const size_t *index_parts(const struct line *l, struct arena *a)
{
    size_t *at = arena_alloc(a, ((size_t)l->n_sets + 1) * sizeof *at), k = 0;
    for (int s = 0; s <= l->n_sets; s++) {
        while (k < l->n_parts && l->parts[k].set < s)
            k++;
        at[s] = k;
    }
    return at;
}

/* Only so many things are said before a rep: what each item of these sets gets of it. */
static double share_of(struct cutter *c, int first, int last)
{
    const int chunk = ++c->trial;
    int n = 0;
    for (size_t i = c->parts_at[first]; i < c->parts_at[last + 1]; i++) {
        int *seen = &c->seen[c->line->parts[i].item];
        n += *seen != chunk;
        *seen = chunk;
    }
    return n > c->in->rules.say ? (double)c->in->rules.say / n : 1;
}

static const double *gain_of(struct cutter *c, const struct line_chunk *chunk)
{
    double *gain = arena_alloc(c->a, ((size_t)chunk->most_reps + 1) * sizeof *gain);
    for (size_t i = c->parts_at[chunk->first]; i < c->parts_at[chunk->last + 1]; i++)
        for (int r = 1; r <= chunk->most_reps; r++)
            gain[r] += plan_line_part_gain(&c->line->parts[i], chunk->share, r);
    return gain;
}

static double price(const struct cutter *c, int steps)
{
    return c->in->rules.worth * steps * PLAN_STEP_S / PLAN_MINUTE_S;
}

/* Reps stop where the next one is not worth its time; none are left where all of them are not. */
static int worth_reps(const struct cutter *c, const struct line_chunk *chunk)
{
    const double *gain = chunk->gain;
    int most = chunk->most_reps;
    while (most > 1 && gain[most] - gain[most - 1] < price(c, chunk->rep_steps))
        most--;
    return gain[most] < price(c, plan_line_steps(chunk, most)) ? 0 : most;
}

/* No break lies within a chunk, so its hard reps stand in one row. */
static int row_reps(const struct line_chunk *chunk)
{
    const int most = CAUTION_HARD_REPS + (chunk->walk_steps > 0);
    return chunk->hard && chunk->most_reps > most ? most : chunk->most_reps;
}

static bool hard(const struct plan_input *in, int first, int last)
{
    for (int s = first; s <= last; s++)
        if (plan_caution_hard(&in->sets[s]))
            return true;
    return false;
}

static void add_chunk(struct cutter *c, int first, int last, int least, int most, bool kept)
{
    struct line *l = c->line;
    const int rep = rep_steps(c->in, l, first, last, 0, FULL_TEMPO);
    const int lead = walks(c->in, first, last) ? HALF_TEMPO : FULL_TEMPO;
    if (!rep)
        return;
    struct line_chunk chunk = {
        .first = first,
        .last = last,
        .rep_steps = rep,
        .lead_steps = rep_steps(c->in, l, first, last, c->in->rules.setup_s, lead),
        .walk_steps = lead == HALF_TEMPO ? rep_steps(c->in, l, first, last, 0, lead) : 0,
        .least_reps = least,
        .most_reps = most,
        .kept = kept,
        .hard = hard(c->in, first, last),
        .share = share_of(c, first, last),
    };
    chunk.gain = gain_of(c, &chunk);
    if (!kept) {
        chunk.most_reps = row_reps(&chunk);
        chunk.most_reps = worth_reps(c, &chunk);
    }
    if (chunk.most_reps == 0)
        return;
    l->row_most = chunk.hard ? CAUTION_HARD_REPS : l->row_most;
    l->chunks = array_grow(l->chunks, l->n_chunks, &c->cap, sizeof *l->chunks);
    l->chunks[l->n_chunks++] = chunk;
}

static bool busy(const struct cutter *c, int set)
{
    return c->parts_at[set] < c->parts_at[set + 1];
}

/* Chunks begin and end at sets with something to mend: without its idle end a chunk is worth the
 * same and takes less time. */
static void cut_from(struct cutter *c, int first, const int *claim)
{
    const struct plan_input *in = c->in;
    for (int last = first; last < c->line->n_sets && last - first < in->rules.chunk_sets; last++) {
        if (claim[last] || (last > first && in->sets[last].opens))
            return;
        if (busy(c, first) && busy(c, last))
            add_chunk(c, first, last, 1, in->rules.most_reps, false);
    }
}

void plan_line_build(const struct plan_input *in, int group, bool apart, struct arena *a,
                     struct line *out)
{
    *out = (struct line){.group = group, .n_sets = (int)in->n_sets, .least = in->rules.least};
    collect_parts(in, apart, a, out);
    const int *claim = read_wishes(in, out, a);
    struct cutter c = {.in = in,
                       .a = a,
                       .line = out,
                       .parts_at = index_parts(out, a),
                       .seen = arena_alloc(a, (in->n_items + 1) * sizeof(int))};
    out->at = arena_alloc(a, (in->n_sets + 1) * sizeof *out->at);
    out->forced = arena_alloc(a, in->n_sets * sizeof *out->forced);
    for (int s = 0; s < out->n_sets; s++) {
        out->at[s] = out->n_chunks;
        const struct plan_wish *keep = claim[s] > 0 ? &in->wishes[claim[s] - 1] : NULL;
        if (keep && keep->first_set == s) {
            out->forced[s] = true;
            add_chunk(&c, s, keep->last_set, keep->reps, keep->reps, true);
        } else if (!keep) {
            cut_from(&c, s, claim);
        }
    }
    out->at[out->n_sets] = out->n_chunks;
    struct line_chunk *chunks = arena_alloc(a, out->n_chunks * sizeof *chunks);
    for (size_t i = 0; i < out->n_chunks; i++)
        chunks[i] = out->chunks[i];
    free(out->chunks);
    out->chunks = chunks;
}
