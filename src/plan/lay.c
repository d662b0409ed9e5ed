#include "plan/lay.h"

#include <stdlib.h>
#include <string.h>

/* --- what a chunk is for ---------------------------------------------------------------------- */

struct weighed {
    int item;
    double weight;
};

static int heaviest_first(const void *a, const void *b)
{
    const struct weighed *x = a, *y = b;
    return x->weight != y->weight ? (x->weight < y->weight) - (x->weight > y->weight)
                                  : (x->item > y->item) - (x->item < y->item);
}

/* The items of these sets, what weighs most there first. */
static const int *list_fixes(struct layer *l, const struct line *line, const struct plan_work *w,
                             size_t *n)
{
    struct weighed *at = arena_alloc(l->a, (l->in->n_items + 1) * sizeof *at);
    int *fixes = arena_alloc(l->a, (l->in->n_items + 1) * sizeof *fixes);
    for (size_t i = 0; i < l->in->n_items; i++)
        at[i].item = (int)i;
    for (size_t i = 0; i < line->n_parts; i++)
        if (line->parts[i].set >= w->first_set && line->parts[i].set <= w->last_set)
            at[line->parts[i].item].weight += line->parts[i].weight;
    qsort(at, l->in->n_items, sizeof *at, heaviest_first);
    for (*n = 0; *n < l->in->n_items && at[*n].weight > 0; (*n)++)
        fixes[*n] = at[*n].item;
    return fixes;
}

static struct plan_work work_of(struct layer *l, const struct line *line,
                                const struct best_choice *c, int start_s)
{
    const struct line_chunk *chunk = c->chunk;
    struct plan_work w = {
        .start_s = start_s,
        .seconds = plan_line_steps(chunk, c->reps) * PLAN_STEP_S,
        .first_set = chunk->first,
        .last_set = chunk->last,
        .reps = c->reps,
        .rep_s = chunk->rep_steps * PLAN_STEP_S,
        .walk_s = chunk->walk_steps * PLAN_STEP_S,
        .kept = chunk->kept,
        .gain = chunk->gain[c->reps],
    };
    w.setup_s = chunk->lead_steps * PLAN_STEP_S - (w.walk_s ? w.walk_s : w.rep_s);
    plan_lay_sets(l->in, &w);
    w.fixes = list_fixes(l, line, &w, &w.n_fixes);
    return w;
}

/* What its list comes to. */
static void sum_up(struct layer *l, struct plan_block *b)
{
    int *fixes = arena_alloc(l->a, (l->in->n_items + 1) * sizeof *fixes);
    unsigned char *seen = arena_alloc(l->a, l->in->n_items + 1);
    for (size_t i = 0; i < b->n_list; i++) {
        const struct plan_work *w = &b->list[i];
        b->reps += w->reps;
        b->gain += w->gain;
        for (size_t k = 0; k < w->n_fixes; k++) {
            if (!seen[w->fixes[k]])
                fixes[b->n_fixes++] = w->fixes[k];
            seen[w->fixes[k]] = 1;
        }
    }
    b->fixes = fixes;
}

/* --- the lines -------------------------------------------------------------------------------- */

/* A person's order: each PLAN_MOVE takes its chunk out and puts it back at its place. */
static void reorder(const struct plan_input *in, struct solved_line *s)
{
    struct best_choice *list = s->choices;
    for (size_t i = 0; i < in->n_wishes; i++) {
        const struct plan_wish *w = &in->wishes[i];
        if (w->kind != PLAN_MOVE || w->group != s->line.group)
            continue;
        size_t at = 0;
        while (at < s->n_choices &&
               (list[at].chunk->first != w->first_set || list[at].chunk->last != w->last_set))
            at++;
        if (at == s->n_choices)
            continue;
        size_t to = w->to < 0 ? 0 : (size_t)w->to;
        to = to < s->n_choices ? to : s->n_choices - 1;
        const struct best_choice moved = list[at];
        memmove(list + at, list + at + 1, (s->n_choices - at - 1) * sizeof *list);
        memmove(list + to + 1, list + to, (s->n_choices - 1 - to) * sizeof *list);
        list[to] = moved;
    }
}

/* What each item of the line gets of the chunks that found room. */
static void count_parts(struct layer *l, const struct solved_line *s, const bool *laid)
{
    for (size_t c = 0; c < s->n_choices; c++) {
        const struct best_choice *choice = &s->choices[c];
        for (size_t i = 0; laid[c] && i < s->line.n_parts; i++) {
            const struct line_part *p = &s->line.parts[i];
            if (p->set < choice->chunk->first || p->set > choice->chunk->last)
                continue;
            struct plan_outcome *o = &l->out->outcomes[p->item];
            o->gain += plan_line_part_gain(p, choice->chunk->share, choice->reps);
            o->reps = choice->reps > o->reps ? choice->reps : o->reps;
        }
    }
}

static void lay_everyone(struct layer *l, struct solved_line *s)
{
    struct place at = l->sol->begin;
    bool *laid = arena_alloc(l->a, s->n_choices + 1);
    if (l->in->rules.order == PLAN_WORST_FIRST)
        l->out->not_worst_first = !plan_lay_worst_first(l, s);
    reorder(l->in, s);
    for (size_t i = 0; i < s->n_choices; i++) {
        struct place next = at;
        int from;
        laid[i] = plan_next_block(&s->line, l->track, &s->choices[i], &next, &from);
        if (!laid[i]) {
            l->out->lost_reps += s->choices[i].reps;
            continue;
        }
        struct plan_block *b = plan_lay_block(l, PLAN_REP, from, next.t);
        b->list = arena_alloc(l->a, sizeof *b->list);
        b->list[b->n_list++] = work_of(l, &s->line, &s->choices[i], b->start_s);
        sum_up(l, b);
        at = next;
    }
    l->out->end = at;
    count_parts(l, s, laid);
}

static void lay_section(struct layer *l, struct solved_line *s)
{
    struct plan_block *b = plan_lay_block(l, PLAN_SECTIONAL, l->sol->apart_from, l->sol->apart_to);
    bool *laid = arena_alloc(l->a, s->n_choices + 1);
    int now = b->start_s;
    b->group = s->line.group;
    b->list = arena_alloc(l->a, (s->n_choices + 1) * sizeof *b->list);
    reorder(l->in, s);
    for (size_t i = 0; i < s->n_choices; i++) {
        b->list[b->n_list] = work_of(l, &s->line, &s->choices[i], now);
        now += b->list[b->n_list++].seconds;
        laid[i] = true;
    }
    sum_up(l, b);
    count_parts(l, s, laid);
}

/* By minute: is anything planned? One more than there are minutes. */
static unsigned char *busy_minutes(const struct layer *l)
{
    unsigned char *busy = arena_alloc(l->a, (size_t)l->track->minutes + 1);
    for (size_t i = 0; i < l->out->n_blocks; i++)
        memset(busy + l->out->blocks[i].start_s / PLAN_MINUTE_S, 1,
               (size_t)(l->out->blocks[i].seconds / PLAN_MINUTE_S));
    return busy;
}

/* --- breaks and fixed items ------------------------------------------------------------------- */

static int end_of(const struct plan_block *b)
{
    return (b->start_s + b->seconds) / PLAN_MINUTE_S;
}

/* When the work before this moment was over; the moment itself when they came from a rest. */
static int work_over(const struct laid *out, int moment)
{
    const struct plan_block *last = NULL;
    for (size_t i = 0; i < out->n_blocks; i++) {
        const struct plan_block *b = &out->blocks[i];
        if (end_of(b) <= moment && (!last || end_of(b) > end_of(last)))
            last = b;
    }
    return last && last->kind != PLAN_BREAK && !last->rest ? end_of(last) : moment;
}

static int last_work(const struct layer *l)
{
    int last = 0;
    for (size_t i = 0; i < l->out->n_blocks; i++)
        last = end_of(&l->out->blocks[i]) > last ? end_of(&l->out->blocks[i]) : last;
    for (size_t w = 0; w < l->track->n_windows; w++) {
        const struct track_window *win = &l->track->windows[w];
        last = !win->rest && win->to > last ? win->to : last;
    }
    return last;
}

static void lay_fixed(struct layer *l, const struct track_window *win)
{
    struct plan_block *b = plan_lay_block(l, PLAN_FIXED, win->from, win->to);
    b->rest = win->rest;
    b->name = l->in->fixed[win->fixed].name;
    if (b->rest)
        b->name = arena_printf(l->a, "%s (rest)", b->name);
}

/* A policy's break begins as soon as the block before it is over; all are said, so that nobody fills
 * what is left over. */
static void lay_windows(struct layer *l)
{
    for (size_t w = 0; w < l->track->n_windows; w++) {
        const struct track_window *win = &l->track->windows[w];
        if (win->fixed >= 0)
            lay_fixed(l, win);
        else
            plan_lay_block(l, PLAN_BREAK, work_over(l->out, win->from), win->to);
    }
}

/* Without a policy breaks are the gaps between blocks that are long enough; none is needed after the
 * last work. */
static void lay_gaps(struct layer *l)
{
    unsigned char *busy = busy_minutes(l);
    const int last = last_work(l);
    for (int t = 0, from = 0; t < last && l->track->work > 0; t++) {
        from = busy[t] ? t + 1 : from;
        if (!busy[t] && busy[t + 1] && t + 1 - from >= l->track->pause && from > 0)
            plan_lay_block(l, PLAN_BREAK, from, t + 1);
    }
}

/* --- all of it -------------------------------------------------------------------------------- */

static int by_start(const void *a, const void *b)
{
    const struct plan_block *x = a, *y = b;
    return x->start_s != y->start_s ? x->start_s - y->start_s : x->group - y->group;
}

static int spare_seconds(const struct layer *l)
{
    const unsigned char *busy = busy_minutes(l);
    int spare = 0;
    for (int t = 0; t < l->track->minutes; t++)
        spare += !busy[t];
    return spare * PLAN_MINUTE_S;
}

/* Was there time for one more block? */
static bool time_left(const struct layer *l)
{
    for (int t = l->out->end.t; t < l->track->minutes; t++)
        if (l->track->free[t] >= l->in->rules.least)
            return true;
    return false;
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
        o->left = out ? PLAN_LEFT_OUT : time_left(l) ? PLAN_LEFT_WORTH : PLAN_LEFT_TIME;
    }
}

void plan_lay(const struct plan_input *in, const struct solution *sol, struct track *track,
              struct arena *a, struct laid *out)
{
    *out = (struct laid){.outcomes = arena_alloc(a, (in->n_items + 1) * sizeof *out->outcomes)};
    struct layer l = {.in = in, .sol = sol, .track = track, .a = a, .out = out};
    lay_everyone(&l, &sol->lines[0]);
    for (size_t i = 1; i < sol->n_lines; i++)
        if (sol->lines[i].n_choices > 0)
            lay_section(&l, &sol->lines[i]);
    plan_lay_idle(&l);
    for (size_t i = 0; i < out->n_blocks; i++)
        out->gain += out->blocks[i].gain;
    plan_lay_runs(&l);
    lay_windows(&l);
    lay_gaps(&l);
    tell_reasons(&l);
    if (out->n_blocks)
        qsort(out->blocks, out->n_blocks, sizeof *out->blocks, by_start);
    out->spare_s = spare_seconds(&l);
    out->blocks = arena_take(a, out->blocks, out->n_blocks * sizeof *out->blocks);
}
