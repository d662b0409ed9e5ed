#include "plan/solve.h"

#include <math.h>

#include "plan/list.h"

struct question {
    const struct plan_input *in;
    struct track *track;
    struct arena *a;
    struct best_room *room;
};

static void walk(const struct question *q, const struct best *b, struct place from,
                 struct solved_line *out)
{
    out->choices = arena_alloc(q->a, q->in->n_sets * sizeof *out->choices);
    out->n_choices = plan_best_walk(b, from, out->choices);
}

static void solve_together(const struct question *q, struct solution *out)
{
    struct best best;
    *out = (struct solution){.n_lines = 1, .lines = arena_alloc(q->a, sizeof *out->lines)};
    plan_line_build(q->in, PLAN_EVERYONE, false, q->a, &out->lines[0].line);
    plan_best_solve(&out->lines[0].line, q->track, q->in->rules.worth, q->room, &best);
    out->value = plan_best_from(&best, out->begin);
    if (out->value > -INFINITY)
        walk(q, &best, out->begin, &out->lines[0]);
}

/* The lines of a plan with sectionals; groups without a chunk have none. */
static void build_lines(const struct question *q, struct solution *out)
{
    out->lines = arena_alloc(q->a, (q->in->n_groups + 1) * sizeof *out->lines);
    plan_line_build(q->in, PLAN_EVERYONE, true, q->a, &out->lines[0].line);
    out->n_lines = 1;
    for (size_t g = 0; g < q->in->n_groups; g++) {
        if (!q->in->groups[g].apart || !q->in->groups[g].attends)
            continue;
        struct line *line = &out->lines[out->n_lines].line;
        plan_line_build(q->in, (int)g, true, q->a, line);
        out->n_lines += line->n_chunks > 0;
    }
}

/* Steps of a section's list in a period of so many minutes; below 0 when they only come back. */
static int list_steps(const struct question *q, int minutes)
{
    return (minutes * PLAN_MINUTE_S - q->in->rules.gather_s) / PLAN_STEP_S;
}

/* sum[t]: what all groups gain at once in t steps. */
static const double *sum_lists(const struct question *q, const struct solution *s, int steps)
{
    double *sum = arena_alloc(q->a, ((size_t)steps + 1) * sizeof *sum);
    for (size_t i = 1; i < s->n_lines; i++) {
        struct arena scratch = {0};
        struct list list;
        plan_list_solve(&s->lines[i].line, steps, &scratch, &list);
        for (int t = 0; t <= steps; t++)
            sum[t] += list.curve[t];
        arena_free(&scratch);
    }
    return sum;
}

/* Every length of the sectional period: what the groups gain in it, and what everyone gains in the
 * rest. */
static void pick_length(const struct question *q, const struct best *full, struct solution *out)
{
    const int longest = plan_track_longest(q->track), steps = list_steps(q, longest);
    out->value = -INFINITY;
    if (steps < 0)
        return;
    const double *sum = sum_lists(q, out, steps);
    for (int length = q->in->rules.least; length <= longest; length++) {
        struct place at = {0, 0, 0};
        const int list = list_steps(q, length);
        int from;
        if (list < 0 ||
            !plan_track_put(q->track, (struct track_block){length, false, false}, &at, &from))
            continue;
        const double value = sum[list] + plan_best_from(full, at);
        if (!(value > out->value))
            continue;
        out->value = value;
        out->list_steps = list;
        out->begin = at;
        out->apart_from = from;
        out->apart_to = at.t;
    }
}

static void solve_apart(const struct question *q, struct solution *out)
{
    struct best full;
    *out = (struct solution){.apart = true};
    build_lines(q, out);
    plan_best_solve(&out->lines[0].line, q->track, q->in->rules.worth, q->room, &full);
    pick_length(q, &full, out);
    if (out->value == -INFINITY)
        return;
    walk(q, &full, out->begin, &out->lines[0]);
    for (size_t i = 1; i < out->n_lines; i++) {
        struct list list;
        struct solved_line *l = &out->lines[i];
        plan_list_solve(&l->line, out->list_steps, q->a, &list);
        l->choices = arena_alloc(q->a, (q->in->n_sets + 1) * sizeof *l->choices);
        l->n_choices = plan_list_walk(&list, out->list_steps, l->choices);
    }
}

static bool wished(const struct question *q, enum plan_wish_kind kind)
{
    for (size_t i = 0; i < q->in->n_wishes; i++)
        if (q->in->wishes[i].kind == kind)
            return true;
    return false;
}

static bool keeps_a_sectional(const struct question *q)
{
    for (size_t i = 0; i < q->in->n_wishes; i++)
        if (q->in->wishes[i].kind == PLAN_KEEP && q->in->wishes[i].group != PLAN_EVERYONE)
            return true;
    return false;
}

static bool somebody_works_apart(const struct plan_input *in)
{
    for (size_t g = 0; g < in->n_groups; g++)
        if (in->groups[g].apart && in->groups[g].attends)
            return true;
    return false;
}

/* Is there room for one block of anything? If not, e names the shortest. */
static bool has_room(const struct question *q, const struct line *line, struct err *e)
{
    const struct line_chunk *shortest = NULL;
    for (size_t i = 0; i < line->n_chunks; i++) {
        const struct line_chunk *c = &line->chunks[i];
        struct place at = {0, 0, 0};
        if (plan_next_block(line, q->track, &(struct best_choice){c, c->least_reps}, &at, NULL))
            return true;
        if (!shortest || c->lead_steps < shortest->lead_steps)
            shortest = c;
    }
    if (!shortest)
        return true;
    if (plan_line_steps(shortest, shortest->least_reps) * PLAN_STEP_S <=
        (line->least - 1) * PLAN_MINUTE_S)
        return err_set(
            e, ERR_INPUT,
            "%d min, less fixed items and breaks, have no room for one block of at least "
            "%d min; give more minutes, shorten a fixed item, or allow shorter blocks",
            q->in->rules.minutes, line->least);
    return err_set(e, ERR_INPUT,
                   "%d min, less fixed items and breaks, have no room for one block: set %s takes "
                   "%d min; give more minutes, shorten a fixed item, or allow shorter blocks",
                   q->in->rules.minutes, q->in->sets[shortest->first].label,
                   plan_line_minutes(line, shortest, shortest->least_reps));
}

static bool empty(const struct solution *s)
{
    for (size_t i = 0; i < s->n_lines; i++)
        if (s->lines[i].n_choices > 0)
            return false;
    return true;
}

bool plan_solve_room(const struct plan_input *in, struct track *track, struct arena *a,
                     struct err *e)
{
    const struct question q = {in, track, a, NULL};
    struct line line;
    plan_line_build(in, PLAN_EVERYONE, false, a, &line);
    return has_room(&q, &line, e);
}

static bool solve(const struct question *q, struct solution *out, struct err *e)
{
    const bool must = wished(q, PLAN_APART) || keeps_a_sectional(q);
    const bool may = !wished(q, PLAN_TOGETHER) && somebody_works_apart(q->in);
    struct solution apart;
    solve_together(q, out);
    const struct line all = out->lines[0].line;
    if (may) {
        solve_apart(q, &apart);
        if (apart.n_lines > 1 && (must || apart.value > out->value))
            *out = apart;
    }
    if (empty(out) && !has_room(q, &all, e))
        return false;
    if (out->value == -INFINITY)
        return err_set(e, ERR_INPUT,
                       "the kept blocks do not fit into %d min; shorten or drop one of them",
                       q->in->rules.minutes);
    return true;
}

bool plan_solve(const struct plan_input *in, struct track *track, struct arena *a,
                struct solution *out, struct err *e)
{
    struct best_room room = {0};
    const struct question q = {in, track, a, &room};
    const bool ok = solve(&q, out, e);
    plan_best_free(&room);
    return ok;
}
