#include "plan/lay.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "plan/reps.h"

struct layer {
    const struct plan_input *in;
    const struct solution *sol;
    struct track *track;
    struct arena *a;
    struct laid *out;
    size_t cap;
    int *reps;     /* of the line being laid, by set */
    double *share; /* of the chunk that has the set */
};

static struct plan_block *add_block(struct layer *l, enum plan_kind kind, int from, int to)
{
    struct laid *out = l->out;
    out->blocks = array_grow(out->blocks, out->n_blocks, &l->cap, sizeof *out->blocks);
    out->blocks[out->n_blocks] = (struct plan_block){
        .kind = kind,
        .start_s = from * PLAN_STEP_S,
        .seconds = (to - from) * PLAN_STEP_S,
        .group = PLAN_EVERYONE,
        .name = "",
        .first_set = -1,
        .last_set = -1,
    };
    return &out->blocks[out->n_blocks++];
}

static void list_fixes(struct layer *l, const struct line *line, struct plan_block *b)
{
    int *fixes = arena_alloc(l->a, line->n_parts * sizeof *fixes);
    unsigned char *seen = arena_alloc(l->a, l->in->n_items);
    for (size_t i = 0; i < line->n_parts; i++) {
        const struct line_part *p = &line->parts[i];
        if (p->set < b->first_set || p->set > b->last_set || seen[p->item])
            continue;
        seen[p->item] = 1;
        fixes[b->n_fixes++] = p->item;
    }
    b->fixes = fixes;
}

static void describe_sets(const struct plan_input *in, struct plan_block *b)
{
    for (int s = b->first_set; s <= b->last_set; s++) {
        const struct plan_set *set = &in->sets[s];
        const double bpm[2] = {set->bpm_from, set->bpm_to};
        b->counts += set->counts < INT_MAX - b->counts ? set->counts : 0; /* absurd ones left out */
        for (int i = 0; i < 2; i++) {
            if (!(bpm[i] > 0))
                continue;
            b->bpm_low = b->bpm_low > 0 && b->bpm_low < bpm[i] ? b->bpm_low : bpm[i];
            b->bpm_high = b->bpm_high > bpm[i] ? b->bpm_high : bpm[i];
        }
    }
}

static void begin_block(struct layer *l, const struct line *line, const struct best_choice *c,
                        int rep, int from, int to)
{
    const enum plan_kind kind = line->group == PLAN_EVERYONE ? PLAN_REP : PLAN_SECTIONAL;
    struct plan_block *b = add_block(l, kind, from, to);
    b->group = line->group;
    b->first_set = c->chunk->first;
    b->last_set = c->chunk->last;
    b->first_rep = rep + 1;
    b->rep_s = c->chunk->rep_steps * PLAN_STEP_S;
    b->kept = c->chunk->kept;
    b->walk_s = rep == 0 ? c->chunk->walk_steps * PLAN_STEP_S : 0;
    b->setup_s = b->seconds - (b->walk_s ? b->walk_s : b->rep_s); /* the first rep alone so far */
    b->name = b->walk_s ? PLAN_WALK_FIRST : "";
    describe_sets(l->in, b);
    list_fixes(l, line, b);
}

/* Lays the reps of one chunk from a place on and moves the place behind them. */
static void lay_chunk(struct layer *l, const struct line *line, const struct best_choice *c,
                      struct place *at, int limit)
{
    const size_t first_block = l->out->n_blocks;
    const struct reps reps = plan_reps(line, c->chunk, l->track);
    int rep = 0;
    for (; rep < c->reps; rep++) {
        struct place next = *at;
        int from;
        plan_next_rep(&reps, rep, &next, &from);
        if (next.t > limit)
            break;
        if (rep == 0 || from != at->t)
            begin_block(l, line, c, rep, from, next.t);
        struct plan_block *b = &l->out->blocks[l->out->n_blocks - 1];
        b->reps++;
        b->seconds = next.t * PLAN_STEP_S - b->start_s;
        b->gain = c->chunk->gain[rep + 1] - c->chunk->gain[b->first_rep - 1];
        *at = next;
    }
    l->out->lost_reps += c->reps - rep;
    for (size_t i = first_block; i < l->out->n_blocks; i++)
        l->out->blocks[i].chunk_reps = rep;
    for (int s = c->chunk->first; s <= c->chunk->last; s++) {
        l->reps[s] = rep;
        l->share[s] = c->chunk->share;
    }
}

/* A person's order: each PLAN_MOVE takes its chunk out and puts it back at its place. */
static void reorder(const struct plan_input *in, int group, struct best_choice *list, size_t n_list)
{
    for (size_t i = 0; i < in->n_wishes; i++) {
        const struct plan_wish *w = &in->wishes[i];
        if (w->kind != PLAN_MOVE || w->group != group)
            continue;
        size_t at = 0;
        while (at < n_list &&
               (list[at].chunk->first != w->first_set || list[at].chunk->last != w->last_set))
            at++;
        if (at == n_list)
            continue;
        size_t to = w->to < 0 ? 0 : (size_t)w->to;
        to = to < n_list ? to : n_list - 1;
        const struct best_choice moved = list[at];
        memmove(list + at, list + at + 1, (n_list - at - 1) * sizeof *list);
        memmove(list + to + 1, list + to, (n_list - 1 - to) * sizeof *list);
        list[to] = moved;
    }
}

static void count_parts(struct layer *l, const struct line *line)
{
    for (size_t i = 0; i < line->n_parts; i++) {
        const struct line_part *p = &line->parts[i];
        struct plan_outcome *o = &l->out->outcomes[p->item];
        const int reps = l->reps[p->set];
        o->gain += plan_line_part_gain(p, l->share[p->set], reps);
        o->reps = reps > o->reps ? reps : o->reps;
    }
}

static void lay_line(struct layer *l, const struct solved_line *s)
{
    const bool everyone = s->line.group == PLAN_EVERYONE;
    const int limit = everyone ? l->track->steps : l->sol->apart_steps;
    struct place at = {everyone ? l->sol->full_from : 0, 0};
    l->reps = arena_alloc(l->a, l->in->n_sets * sizeof *l->reps);
    l->share = arena_alloc(l->a, l->in->n_sets * sizeof *l->share);
    reorder(l->in, s->line.group, s->choices, s->n_choices);
    for (size_t i = 0; i < s->n_choices; i++)
        lay_chunk(l, &s->line, &s->choices[i], &at, limit);
    count_parts(l, &s->line);
}

static int steps_end(const struct plan_block *b)
{
    return (b->start_s + b->seconds) / PLAN_STEP_S;
}

/* When the work before this moment was over; the moment itself when they came from a rest. */
static int work_over(const struct laid *out, int moment)
{
    const struct plan_block *last = NULL;
    for (size_t i = 0; i < out->n_blocks; i++) {
        const struct plan_block *b = &out->blocks[i];
        if (steps_end(b) <= moment && (!last || steps_end(b) > steps_end(last)))
            last = b;
    }
    return last && last->kind != PLAN_BREAK && !last->rest ? steps_end(last) : moment;
}

static int last_work(const struct layer *l)
{
    int last = 0;
    for (size_t i = 0; i < l->out->n_blocks; i++) {
        const int end = steps_end(&l->out->blocks[i]);
        last = end > last ? end : last;
    }
    for (size_t w = 0; w < l->track->n_windows; w++) {
        const struct track_window *win = &l->track->windows[w];
        last = !win->rest && win->to > last ? win->to : last;
    }
    return last;
}

static void lay_fixed(struct layer *l, const struct track_window *win)
{
    struct plan_block *b = add_block(l, PLAN_FIXED, win->from, win->to);
    b->rest = win->rest;
    b->name = l->in->fixed[win->fixed].name;
    if (b->rest)
        b->name = arena_printf(l->a, "%s (rest)", b->name);
}

/* A break begins as soon as the last rep before it is over; none is needed after the last work. A
 * heat policy's breaks are all said, so that nobody fills what is left over. */
static void lay_windows(struct layer *l)
{
    const bool policy = l->in->rules.breaks.hour.rest_s > 0;
    const int last = last_work(l);
    for (size_t w = 0; w < l->track->n_windows; w++) {
        const struct track_window *win = &l->track->windows[w];
        if (win->fixed >= 0)
            lay_fixed(l, win);
        else if (win->from < last || policy)
            add_block(l, PLAN_BREAK, work_over(l->out, win->from), win->to);
    }
}

static int by_start(const void *a, const void *b)
{
    const struct plan_block *x = a, *y = b;
    return x->start_s != y->start_s ? x->start_s - y->start_s : x->group - y->group;
}

static int spare_seconds(const struct layer *l)
{
    unsigned char *busy = arena_alloc(l->a, (size_t)l->track->steps);
    for (size_t i = 0; i < l->out->n_blocks; i++)
        memset(busy + l->out->blocks[i].start_s / PLAN_STEP_S, 1,
               (size_t)(l->out->blocks[i].seconds / PLAN_STEP_S));
    if (l->sol->apart && l->sol->full_from > l->sol->apart_steps)
        memset(busy + l->sol->apart_steps, 1, (size_t)(l->sol->full_from - l->sol->apart_steps));
    int spare = 0;
    for (int t = 0; t < l->track->steps; t++)
        spare += !busy[t];
    return spare * PLAN_STEP_S;
}

static void tell_reasons(struct layer *l)
{
    for (size_t i = 0; i < l->in->n_items; i++) {
        const struct plan_item *it = &l->in->items[i];
        struct plan_outcome *o = &l->out->outcomes[i];
        int group;
        o->left = plan_line_of(l->in, i, l->sol->apart, &group);
        if (o->left != PLAN_WORKED || o->reps > 0)
            continue;
        bool out = true;
        for (size_t k = 0; k < it->n_sets; k++)
            out &= plan_line_left_out(l->in, it, group, it->sets[k]);
        o->left = out ? PLAN_LEFT_OUT : PLAN_LEFT_TIME;
    }
}

void plan_lay(const struct plan_input *in, const struct solution *sol, struct track *track,
              struct arena *a, struct laid *out)
{
    *out = (struct laid){.outcomes = arena_alloc(a, in->n_items * sizeof *out->outcomes)};
    struct layer l = {.in = in, .sol = sol, .track = track, .a = a, .out = out};
    for (size_t i = 0; i < sol->n_lines; i++)
        lay_line(&l, &sol->lines[i]);
    for (size_t i = 0; i < out->n_blocks; i++)
        out->gain += out->blocks[i].gain;
    lay_windows(&l);
    tell_reasons(&l);
    if (out->n_blocks)
        qsort(out->blocks, out->n_blocks, sizeof *out->blocks, by_start);
    out->spare_s = spare_seconds(&l);
    struct plan_block *kept = arena_alloc(a, out->n_blocks * sizeof *kept);
    for (size_t i = 0; i < out->n_blocks; i++)
        kept[i] = out->blocks[i];
    free(out->blocks);
    out->blocks = kept;
}
