/* A section with nothing to mend by itself in the sectional period is named, so that nobody stands
 * around: it runs its own part of the sets that have the most marks of it, or goes with another. */
#include "plan/caution.h"

enum { SETS_MOST = 3 };

static bool has_block(const struct layer *l, int group)
{
    for (size_t i = 0; i < l->out->n_blocks; i++)
        if (l->out->blocks[i].group == group)
            return true;
    return false;
}

/* The section with a list that gains the most, of the same parent where there is one. */
static int partner_of(const struct layer *l, int group)
{
    const struct plan_group *groups = l->in->groups;
    int best = -1;
    double most = 0;
    for (size_t i = 0; i < l->out->n_blocks; i++) {
        const struct plan_block *b = &l->out->blocks[i];
        if (b->kind != PLAN_SECTIONAL || !(b->gain > 0))
            continue;
        const bool near = groups[b->group].up >= 0 && groups[b->group].up == groups[group].up;
        const double worth = b->gain + (near ? l->in->n_items * 1e6 : 0);
        best = worth > most ? b->group : best;
        most = worth > most ? worth : most;
    }
    return best;
}

/* Nobody has to run a hard move that nobody has anything to say about. */
static bool easy(const struct plan_set *set)
{
    return set->play_s >= 0 && !plan_caution_hard(set) && !(set->walk && *set->walk);
}

static struct plan_work rep_of(const struct plan_input *in, int set, int start_s)
{
    struct plan_work w = {.start_s = start_s, .first_set = set, .last_set = set};
    w.rep_s = (int)(in->sets[set].play_s + in->rules.apart_reset_s + PLAN_STEP_S - 1) /
              PLAN_STEP_S * PLAN_STEP_S;
    w.setup_s = in->rules.setup_s;
    plan_lay_sets(in, &w);
    return w;
}

/* Every set of it as often as the time that is left allows, shared evenly. */
static void run_least_clean(struct layer *l, struct plan_block *b)
{
    const struct plan_group *g = &l->in->groups[b->group];
    const int all = l->sol->list_steps * PLAN_STEP_S;
    const size_t n = g->n_least_clean < SETS_MOST ? g->n_least_clean : SETS_MOST;
    int now = b->start_s;
    b->list = arena_alloc(l->a, (n + 1) * sizeof *b->list);
    for (size_t i = 0; i < n; i++) {
        const int share = (b->start_s + all - now) / (int)(n - i);
        if (!easy(&l->in->sets[g->least_clean[i]]))
            continue;
        struct plan_work w = rep_of(l->in, g->least_clean[i], now);
        w.reps = w.rep_s > 0 ? (share - w.setup_s) / w.rep_s : 0;
        w.reps = w.reps < l->in->rules.most_reps ? w.reps : l->in->rules.most_reps;
        if (w.reps < 1)
            continue;
        w.seconds = w.setup_s + w.reps * w.rep_s;
        now += w.seconds;
        b->reps += w.reps;
        b->list[b->n_list++] = w;
    }
}

/* "with tubas", "nothing open" */
static const char *company(struct layer *l, int group)
{
    const int with = partner_of(l, group);
    return with >= 0 ? arena_printf(l->a, "with %s", l->in->groups[with].name) : "nothing open";
}

/* For more than a rep or two, behind its list. */
static bool time_left(const struct layer *l, const struct plan_block *b)
{
    const struct plan_work *last = &b->list[b->n_list - 1];
    const int end_s = b->start_s + l->sol->list_steps * PLAN_STEP_S;
    return end_s - last->start_s - last->seconds >= l->in->rules.least * PLAN_MINUTE_S;
}

static void lay_idle(struct layer *l, int group)
{
    struct plan_block *b = plan_lay_block(l, PLAN_SECTIONAL, l->sol->apart_from, l->sol->apart_to);
    b->group = group;
    run_least_clean(l, b);
    b->name = b->n_list == 0    ? company(l, group)
              : time_left(l, b) ? "least clean sets, then its choice"
                                : "least clean sets";
}

static bool in_list(const struct plan_block *b, int set)
{
    for (size_t i = 0; i < b->n_list; i++)
        if (set >= b->list[i].first_set && set <= b->list[i].last_set)
            return true;
    return false;
}

/* Its list leaves time: "then least clean sets: 3 5". */
static void fill_up(struct layer *l, struct plan_block *b)
{
    const struct plan_group *g = &l->in->groups[b->group];
    struct buf sets = {0};
    int n = 0;
    for (size_t i = 0; i < g->n_least_clean && n < SETS_MOST; i++)
        if (easy(&l->in->sets[g->least_clean[i]]) && !in_list(b, g->least_clean[i]))
            buf_printf(&sets, "%s%s", n++ ? " " : "", l->in->sets[g->least_clean[i]].label);
    if (time_left(l, b))
        b->name =
            sets.n ? arena_printf(l->a, "then least clean sets: %s", sets.p) : "then its choice";
    buf_free(&sets);
}

void plan_lay_idle(struct layer *l)
{
    for (size_t i = 0; i < l->out->n_blocks; i++)
        if (l->out->blocks[i].kind == PLAN_SECTIONAL)
            fill_up(l, &l->out->blocks[i]);
    for (size_t g = 0; l->sol->apart && g < l->in->n_groups; g++)
        if (l->in->groups[g].attends && l->in->groups[g].apart && l->in->groups[g].there &&
            !has_block(l, (int)g))
            lay_idle(l, (int)g);
}
