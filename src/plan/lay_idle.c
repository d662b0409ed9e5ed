/* A section with nothing to mend by itself in the sectional period is named, so that nobody stands
 * around: it runs its own part of the sets that have the most marks of it; without any it goes with a
 * section of its kind; or it runs its part of what the show has most open in. */
#include "plan/caution.h"

enum { SETS_MOST = 4 };

static bool has_block(const struct layer *l, int group)
{
    for (size_t i = 0; i < l->out->n_blocks; i++)
        if (l->out->blocks[i].group == group)
            return true;
    return false;
}

/* The section with a list that gains the most, of the same parent or of any; -1: none. */
static int partner_of(const struct layer *l, int group, bool of_its_kind)
{
    const struct plan_group *groups = l->in->groups;
    int best = -1;
    double most = 0;
    for (size_t i = 0; i < l->out->n_blocks; i++) {
        const struct plan_block *b = &l->out->blocks[i];
        const bool near =
            b->group >= 0 && groups[b->group].up >= 0 && groups[b->group].up == groups[group].up;
        if (b->kind != PLAN_SECTIONAL || !(b->gain > most) || (of_its_kind && !near))
            continue;
        best = b->group;
        most = b->gain;
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

/* Easy sets, each once. */
struct some_sets {
    int at[SETS_MOST];
    int n;
};

static void add_set(const struct layer *l, struct some_sets *sets, int set)
{
    for (int i = 0; i < sets->n; i++)
        if (sets->at[i] == set)
            return;
    if (sets->n < SETS_MOST && easy(&l->in->sets[set]))
        sets->at[sets->n++] = set;
}

/* Every set as often as the time that is left allows, shared evenly. */
static void run_sets(struct layer *l, struct plan_block *b, const struct some_sets *sets)
{
    const int all = l->sol->list_steps * PLAN_STEP_S;
    int now = b->start_s;
    b->list = arena_alloc(l->a, (SETS_MOST + 1) * sizeof *b->list);
    for (int i = 0; i < sets->n; i++) {
        const int share = (b->start_s + all - now) / (sets->n - i);
        struct plan_work w = rep_of(l->in, sets->at[i], now);
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

/* Those in which the show has most open, most first. */
static void add_of_the_show(const struct layer *l, struct some_sets *sets)
{
    const struct plan_input *in = l->in;
    double *open = arena_alloc(l->a, (in->n_sets + 1) * sizeof *open);
    for (size_t i = 0; i < in->n_items; i++)
        for (size_t k = 0; in->items[i].weight > 0 && k < in->items[i].n_sets; k++)
            open[in->items[i].sets[k]] += plan_line_weight(&in->items[i], k);
    for (size_t tries = 0; tries < in->n_sets && sets->n < SETS_MOST; tries++) {
        int most = 0;
        for (int s = 1; s < (int)in->n_sets; s++)
            most = open[s] > open[most] ? s : most;
        if (open[most] > 0)
            add_set(l, sets, most);
        open[most] = 0;
    }
}

/* For more than a rep or two, behind its list. */
static bool time_left(const struct layer *l, const struct plan_block *b)
{
    const struct plan_work *last = &b->list[b->n_list - 1];
    const int end_s = b->start_s + l->sol->list_steps * PLAN_STEP_S;
    return end_s - last->start_s - last->seconds >= l->in->rules.least * PLAN_MINUTE_S;
}

static const char *with(struct layer *l, int group)
{
    return arena_printf(l->a, "with %s", l->in->groups[group].name);
}

static void lay_idle(struct layer *l, int group)
{
    const struct plan_group *g = &l->in->groups[group];
    const int near = partner_of(l, group, true), any = partner_of(l, group, false);
    struct plan_block *b = plan_lay_block(l, PLAN_SECTIONAL, l->sol->apart_from, l->sol->apart_to);
    struct some_sets sets = {0};
    b->group = group;
    for (size_t i = 0; i < g->n_least_clean; i++)
        add_set(l, &sets, g->least_clean[i]);
    const bool own = sets.n > 0;
    if (own || near < 0) {
        add_of_the_show(l, &sets);
        run_sets(l, b, &sets);
    }
    b->name = b->n_list > 0 ? (own ? "least clean sets" : "least clean sets of the show")
              : near >= 0   ? with(l, near)
              : any >= 0    ? with(l, any)
                            : "its choice";
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
        b->name = sets.n ? arena_printf(l->a, PLAN_THEN "least clean sets: %s", sets.p)
                         : PLAN_THEN "its choice";
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
