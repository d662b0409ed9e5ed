#include "plan/solve.h"

#include <math.h>

struct question {
    const struct plan_input *in;
    struct track *track;
    struct arena *a;
};

static void walk(const struct question *q, const struct best *b, int from, struct solved_line *out)
{
    out->choices = arena_alloc(q->a, q->in->n_sets * sizeof *out->choices);
    out->n_choices = plan_best_walk(b, from, out->choices);
}

static void solve_together(const struct question *q, struct solution *out)
{
    struct best best;
    *out = (struct solution){.n_lines = 1, .lines = arena_alloc(q->a, sizeof *out->lines)};
    plan_line_build(q->in, PLAN_EVERYONE, false, q->a, &out->lines[0].line);
    plan_best_solve(&out->lines[0].line, q->track, q->track->steps, q->a, &best);
    out->gain = best.rows[0][0];
    if (out->gain > -INFINITY)
        walk(q, &best, 0, &out->lines[0]);
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

/* Every length of the sectional stretch from one step on: what the groups gain in it, all at once,
 * and what everyone gains in the rest. */
static void pick_length(const struct question *q, const struct best *full, struct solution *out)
{
    const int steps = q->track->steps, gather = q->in->rules.gather_s;
    const int *gathered =
        gather ? plan_track_ends(q->track, (gather + PLAN_STEP_S - 1) / PLAN_STEP_S) : NULL;
    double *sum = arena_alloc(q->a, (size_t)(steps + 1) * sizeof *sum);
    for (size_t i = 1; i < out->n_lines; i++) {
        const double *curve = plan_best_until(&out->lines[i].line, q->track, q->a);
        for (int t = 0; t <= steps; t++)
            sum[t] += curve[t];
    }
    out->gain = -INFINITY;
    for (int t = 1; t <= steps; t++) {
        const int from = gathered ? gathered[t] : t;
        if (from > steps || sum[t] + full->rows[0][from] <= out->gain)
            continue;
        out->gain = sum[t] + full->rows[0][from];
        out->apart_steps = t;
        out->full_from = from;
    }
}

static void solve_apart(const struct question *q, struct solution *out)
{
    struct best full;
    *out = (struct solution){.apart = true};
    build_lines(q, out);
    plan_best_solve(&out->lines[0].line, q->track, q->track->steps, q->a, &full);
    pick_length(q, &full, out);
    if (out->gain == -INFINITY)
        return;
    walk(q, &full, out->full_from, &out->lines[0]);
    for (size_t i = 1; i < out->n_lines; i++) {
        struct best best;
        plan_best_solve(&out->lines[i].line, q->track, out->apart_steps, q->a, &best);
        walk(q, &best, 0, &out->lines[i]);
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

/* Is there room for one rep of anything? If not, e names the shortest. */
static bool has_room(const struct question *q, const struct line *line, struct err *e)
{
    const struct line_chunk *shortest = NULL;
    for (size_t i = 0; i < line->n_chunks; i++) {
        if (plan_track_ends(q->track, line->chunks[i].lead_steps)[0] <= q->track->steps)
            return true;
        if (!shortest || line->chunks[i].lead_steps < shortest->lead_steps)
            shortest = &line->chunks[i];
    }
    if (!shortest)
        return true;
    return err_set(e, ERR_INPUT,
                   "%d min, less fixed items and breaks, have no room for one rep: set %s takes "
                   "%d s; give more minutes or shorten a fixed item",
                   q->in->rules.minutes, q->in->sets[shortest->first].label,
                   shortest->lead_steps * PLAN_STEP_S);
}

bool plan_solve_room(const struct plan_input *in, struct track *track, struct arena *a,
                     struct err *e)
{
    const struct question q = {in, track, a};
    struct line line;
    plan_line_build(in, PLAN_EVERYONE, false, a, &line);
    return has_room(&q, &line, e);
}

bool plan_solve(const struct plan_input *in, struct track *track, struct arena *a,
                struct solution *out, struct err *e)
{
    const struct question q = {in, track, a};
    const bool must = wished(&q, PLAN_APART) || keeps_a_sectional(&q);
    const bool may = !wished(&q, PLAN_TOGETHER) && somebody_works_apart(in);
    struct solution apart;
    solve_together(&q, out);
    if (!has_room(&q, &out->lines[0].line, e))
        return false;
    if (may) {
        solve_apart(&q, &apart);
        if (apart.n_lines > 1 && (must || apart.gain > out->gain))
            *out = apart;
    }
    if (out->gain == -INFINITY)
        return err_set(e, ERR_INPUT,
                       "the kept blocks do not fit into %d min; shorten or drop one of them",
                       in->rules.minutes);
    return true;
}
