#include "plan/caution.h"

#include <stdlib.h>

#include "base/buf.h"

struct notes {
    const struct plan_input *in;
    const struct plan *plan;
    struct arena *a;
    const char **list;
    size_t n, cap;
};

static void add(struct notes *n, const char *text)
{
    n->list = array_grow(n->list, n->n, &n->cap, sizeof *n->list);
    n->list[n->n++] = text;
}

static const char *clock_of(const struct notes *n, int at_s)
{
    char text[24];
    return arena_strdup(n->a, plan_clock(n->plan->start_min, at_s, text));
}

/* Work from `from` to `to` without a rest between. */
static void judge_stretch(struct notes *n, int from, int to)
{
    const int work_s = to - from, most_s = n->in->rules.breaks.work_most_s;
    if (work_s > CAUTION_STRETCH_S)
        add(n,
            arena_printf(n->a,
                         "%s to %s: %d min without a rest; more than %d is long (common "
                         "practice, no source)",
                         clock_of(n, from), clock_of(n, to), work_s / 60, CAUTION_STRETCH_S / 60));
    else if (most_s > 0 && work_s > most_s)
        add(n, arena_printf(n->a,
                            "%s to %s: %d min without a break, because a fixed item cannot be "
                            "cut; the rhythm asks for one after %d min",
                            clock_of(n, from), clock_of(n, to), work_s / 60, most_s / 60));
}

static void long_stretches(struct notes *n)
{
    int rested = 0, worked = 0;
    for (size_t i = 0; i < n->plan->n_blocks; i++) {
        const struct plan_block *b = &n->plan->blocks[i];
        const int end = b->start_s + b->seconds;
        if (b->kind != PLAN_BREAK && !b->rest) {
            worked = end > worked ? end : worked;
            continue;
        }
        judge_stretch(n, rested, worked);
        rested = worked = end;
    }
    judge_stretch(n, rested, worked);
}

static double fastest(const struct plan_set *set)
{
    return set->bpm_from > set->bpm_to ? set->bpm_from : set->bpm_to;
}

static bool fast_backward(const struct plan_set *set)
{
    return set->backward && fastest(set) >= CAUTION_BACKWARD_BPM;
}

bool plan_caution_hard(const struct plan_set *set)
{
    return fast_backward(set) || set->step_in >= CAUTION_STEP_IN;
}

static const char *why_hard(const struct notes *n, const struct plan_set *set)
{
    return fast_backward(set)
               ? arena_printf(n->a, "set %s moves backward at %.0f bpm", set->label, fastest(set))
               : arena_printf(n->a, "set %s has steps of %.0f in", set->label, set->step_in);
}

/* Why a chunk is hard on the body, "" when it is not known to be. */
static const char *hardship(const struct notes *n, const struct plan_block *b)
{
    for (int s = b->first_set; s >= 0 && s <= b->last_set; s++)
        if (plan_caution_hard(&n->in->sets[s]))
            return why_hard(n, &n->in->sets[s]);
    return "";
}

/* Counts hard reps of one body of people from rest to rest. */
static void hard_rows(struct notes *n, int group)
{
    int row = 0;
    for (size_t i = 0; i < n->plan->n_blocks; i++) {
        const struct plan_block *b = &n->plan->blocks[i];
        const bool theirs = b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL;
        if (theirs && b->group != group)
            continue;
        const char *why = theirs ? hardship(n, b) : "";
        const int before = row;
        row = *why ? row + b->reps - (b->walk_s > 0) : 0;
        if (row > CAUTION_HARD_REPS && before <= CAUTION_HARD_REPS)
            add(n, arena_printf(n->a,
                                "%s: more than %d hard reps in a row (%s); walk some of them "
                                "(common practice, no source)",
                                clock_of(n, b->start_s), CAUTION_HARD_REPS, why));
    }
}

static bool planned(const struct notes *n, int set)
{
    for (size_t i = 0; i < n->plan->n_blocks; i++)
        if (set >= n->plan->blocks[i].first_set && set <= n->plan->blocks[i].last_set)
            return true;
    return false;
}

/* What is planned is walked first; what is not could still be run in a run-through. */
static void walk_first(struct notes *n)
{
    enum { NAMED_MOST = 20 };
    struct buf others = {0};
    size_t n_others = 0;
    for (size_t s = 0; s < n->in->n_sets; s++) {
        const struct plan_set *set = &n->in->sets[s];
        if (!set->walk || !*set->walk)
            continue;
        if (planned(n, (int)s))
            add(n,
                arena_printf(n->a, "set %s: %s; walk it before it is run", set->label, set->walk));
        else if (n_others++ < NAMED_MOST)
            buf_printf(&others, "%s%s", others.n ? ", " : "", set->label);
    }
    if (n_others > NAMED_MOST)
        buf_printf(&others, " and %zu more", n_others - NAMED_MOST);
    if (n_others)
        add(n, arena_printf(n->a,
                            "not planned, but to be walked before any run-through (somebody comes "
                            "near somebody): set %s",
                            buf_text(&others)));
    buf_free(&others);
}

static void hard_moves(struct notes *n)
{
    struct buf list = {0};
    for (size_t s = 0; s < n->in->n_sets; s++)
        if (plan_caution_hard(&n->in->sets[s]) && planned(n, (int)s))
            buf_printf(&list, "%s%s", list.n ? ", " : "", why_hard(n, &n->in->sets[s]));
    if (list.n)
        add(n, arena_printf(n->a,
                            "hard on the body: %s; no more than %d reps at tempo in a row, walk "
                            "the others (common practice, no source)",
                            buf_text(&list), CAUTION_HARD_REPS));
    buf_free(&list);
}

static void absent_groups(struct notes *n)
{
    for (size_t g = 0; g < n->in->n_groups; g++) {
        if (n->in->groups[g].attends)
            continue;
        add(n, arena_printf(n->a,
                            "%s: nobody attends; their fixes are left, and blocks for "
                            "everyone run without them",
                            n->in->groups[g].name));
    }
}

void plan_caution(const struct plan_input *in, const struct laid *laid, struct arena *a,
                  struct plan *plan)
{
    struct notes n = {.in = in, .plan = plan, .a = a};
    if (in->rules.breaks.work_most_s == 0)
        add(&n, "no breaks are planned, because no rhythm of work and rest was given");
    long_stretches(&n);
    walk_first(&n);
    hard_moves(&n);
    hard_rows(&n, PLAN_EVERYONE);
    for (size_t g = 0; g < in->n_groups; g++)
        hard_rows(&n, (int)g);
    absent_groups(&n);
    if (laid->lost_reps > 0)
        add(&n, arena_printf(a, "%d rep%s found no room in this order", laid->lost_reps,
                             laid->lost_reps == 1 ? "" : "s"));
    if (in->rules.breaks.work_most_s > 0 && in->rules.breaks.source)
        add(&n, arena_printf(a, "breaks: %s", in->rules.breaks.source));
    if (in->rules.breaks.hour.rest_s > 0 && in->rules.minutes >= 60)
        add(&n, arena_printf(a,
                             "any 60 min of this plan hold at least %g min of rest; a break is "
                             "not to be shortened, nor time that is left over filled",
                             in->rules.breaks.hour.rest_s / 60.0));
    add(&n, "Local policy, the athletic trainer and licensed practice decide about heat, rest and "
            "who may take part; this plan clears nobody to work.");
    const char **list = arena_alloc(a, n.n * sizeof *list);
    for (size_t i = 0; i < n.n; i++)
        list[i] = n.list[i];
    free(n.list);
    plan->cautions = list;
    plan->n_cautions = n.n;
}
