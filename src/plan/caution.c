#include "plan/caution.h"

#include <stdlib.h>

#include "base/buf.h"

/* What is said about no moment comes first or last. */
enum { BEFORE_ALL = -1, AFTER_ALL = PLAN_MINUTES_MOST * 60 + 1 };

struct note {
    int at_s;
    size_t number; /* those of one moment stay in order */
    const char *text;
    const bool *of; /* [n_blocks]: the blocks it is about; NULL: the rehearsal */
};

struct notes {
    const struct plan_input *in;
    const struct plan *plan;
    struct arena *a;
    struct note *list;
    size_t n, cap;
};

static void add_of(struct notes *n, int at_s, const bool *of, const char *text)
{
    n->list = array_grow(n->list, n->n, &n->cap, sizeof *n->list);
    n->list[n->n] = (struct note){at_s, n->n, text, of};
    n->n++;
}

static void add(struct notes *n, int at_s, const char *text)
{
    add_of(n, at_s, NULL, text);
}

/* --- which blocks it is about --------------------------------------------------------------------- */

static bool *no_blocks(const struct notes *n)
{
    return arena_alloc(n->a, n->plan->n_blocks + 1);
}

static bool rests(const struct plan_block *b)
{
    return b->kind == PLAN_BREAK || b->rest;
}

static bool has_set(const struct plan_block *b, int set)
{
    for (size_t k = 0; k < b->n_list; k++)
        if (set >= b->list[k].first_set && set <= b->list[k].last_set)
            return true;
    return false;
}

/* Adds the blocks that run the set: reps of it, runs through it. */
static void put_blocks(const struct notes *n, int set, bool reps, bool runs, bool *of)
{
    for (size_t i = 0; i < n->plan->n_blocks; i++) {
        const struct plan_block *b = &n->plan->blocks[i];
        of[i] |= (b->kind == PLAN_RUN ? runs : reps) && has_set(b, set);
    }
}

static const bool *working(const struct notes *n, int from, int to)
{
    bool *of = no_blocks(n);
    for (size_t i = 0; i < n->plan->n_blocks; i++) {
        const struct plan_block *b = &n->plan->blocks[i];
        of[i] = !rests(b) && b->start_s < to && b->start_s + b->seconds > from;
    }
    return of;
}

static const bool *resting(const struct notes *n)
{
    bool *of = no_blocks(n);
    for (size_t i = 0; i < n->plan->n_blocks; i++)
        of[i] = rests(&n->plan->blocks[i]);
    return of;
}

/* --- what there is to say ------------------------------------------------------------------------- */

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
        add_of(n, from, working(n, from, to),
               arena_printf(n->a,
                            "%s to %s: %d min without a rest; more than %d is long (common "
                            "practice, no source)",
                            clock_of(n, from), clock_of(n, to), work_s / 60,
                            CAUTION_STRETCH_S / 60));
    else if (most_s > 0 && work_s > most_s)
        add_of(n, from, working(n, from, to),
               arena_printf(n->a,
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
        if (!rests(b)) {
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

static bool wrong_dot(const struct plan_set *set)
{
    return set->step_in > PLAN_STEP_MOST_IN;
}

bool plan_caution_hard(const struct plan_set *set)
{
    return fast_backward(set) || (set->step_in >= CAUTION_STEP_IN && !wrong_dot(set));
}

static const char *why_hard(const struct notes *n, const struct plan_set *set)
{
    return fast_backward(set)
               ? arena_printf(n->a, "set %s moves backward at %.0f bpm", set->label, fastest(set))
               : arena_printf(n->a, "set %s has steps of %.0f in", set->label, set->step_in);
}

/* Why a chunk is hard on the body, "" when it is not known to be. */
static const char *hardship(const struct notes *n, const struct plan_work *w)
{
    for (int s = w->first_set; s <= w->last_set; s++)
        if (plan_caution_hard(&n->in->sets[s]))
            return why_hard(n, &n->in->sets[s]);
    return "";
}

struct row {
    int reps;
    bool said;
};

static void judge_work(struct notes *n, size_t block, const struct plan_work *w, struct row *row)
{
    bool *of;
    const char *why = hardship(n, w);
    row->reps = *why ? row->reps + w->reps - (w->walk_s > 0) : 0;
    if (row->reps <= CAUTION_HARD_REPS || row->said)
        return;
    row->said = true;
    of = no_blocks(n);
    of[block] = true;
    add_of(n, w->start_s, of,
           arena_printf(n->a,
                        "%s: more than %d hard reps in a row (%s); walk some of them (common "
                        "practice, no source)",
                        clock_of(n, w->start_s), CAUTION_HARD_REPS, why));
}

/* Counts hard reps of one body of people from rest to rest. */
static void hard_rows(struct notes *n, int group)
{
    struct row row = {0};
    for (size_t i = 0; i < n->plan->n_blocks; i++) {
        const struct plan_block *b = &n->plan->blocks[i];
        const bool theirs = b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL;
        if (theirs && b->group != group)
            continue;
        if (!theirs)
            row = (struct row){0};
        for (size_t k = 0; theirs && k < b->n_list; k++)
            judge_work(n, i, &b->list[k], &row);
    }
}

/* When the set is rehearsed first; AFTER_ALL when it is not. */
static int first_time(const struct notes *n, int set)
{
    int first = AFTER_ALL;
    for (size_t i = 0; i < n->plan->n_blocks; i++) {
        const struct plan_block *b = &n->plan->blocks[i];
        for (size_t k = 0; b->kind != PLAN_RUN && k < b->n_list; k++)
            if (set >= b->list[k].first_set && set <= b->list[k].last_set &&
                b->list[k].start_s < first)
                first = b->list[k].start_s;
    }
    return first;
}

/* What is planned is walked first; what is not could still be run in a run-through. */
static void walk_first(struct notes *n)
{
    enum { NAMED_MOST = 20 };
    struct buf others = {0};
    size_t n_others = 0;
    bool *runs = no_blocks(n);
    for (size_t s = 0; s < n->in->n_sets; s++) {
        const struct plan_set *set = &n->in->sets[s];
        const int at = first_time(n, (int)s);
        if (!set->walk || !*set->walk)
            continue;
        if (at < AFTER_ALL) {
            bool *of = no_blocks(n);
            put_blocks(n, (int)s, true, false, of);
            add_of(
                n, at, of,
                arena_printf(n->a, "set %s: %s; walk it before it is run", set->label, set->walk));
            continue;
        }
        put_blocks(n, (int)s, false, true, runs);
        if (n_others++ < NAMED_MOST)
            buf_printf(&others, "%s%s", others.n ? ", " : "", set->label);
    }
    if (n_others > NAMED_MOST)
        buf_printf(&others, " and %zu more", n_others - NAMED_MOST);
    if (n_others)
        add_of(n, AFTER_ALL, runs,
               arena_printf(n->a,
                            "not planned, but to be walked before any run-through (somebody comes "
                            "near somebody): set %s",
                            buf_text(&others)));
    buf_free(&others);
}

/* The planned sets from `from` on that are hard in the same way, in a row: "sets 8A 9 move". */
static void put_alike(const struct notes *n, size_t from, bool *said, struct buf *out)
{
    const struct plan_set *sets = n->in->sets;
    const bool fast = fast_backward(&sets[from]);
    struct buf labels = {0};
    int many = 0;
    for (size_t s = from; s < n->in->n_sets; s++) {
        const bool same = fast ? fastest(&sets[s]) == fastest(&sets[from])
                               : (int)sets[s].step_in == (int)sets[from].step_in;
        if (said[s] || !same || !plan_caution_hard(&sets[s]) || fast_backward(&sets[s]) != fast ||
            first_time(n, (int)s) == AFTER_ALL)
            continue;
        said[s] = true;
        buf_printf(&labels, "%s%s", many++ ? " " : "", sets[s].label);
    }
    buf_printf(out, "%sset%s %s ", out->n ? ", " : "", many > 1 ? "s" : "", buf_text(&labels));
    if (fast)
        buf_printf(out, "move%s backward at %.0f bpm", many > 1 ? "" : "s", fastest(&sets[from]));
    else
        buf_printf(out, "ha%s steps of %.0f in", many > 1 ? "ve" : "s", sets[from].step_in);
    buf_free(&labels);
}

static void hard_moves(struct notes *n)
{
    struct buf list = {0};
    bool *said = arena_alloc(n->a, n->in->n_sets + 1), *of = no_blocks(n);
    int first = AFTER_ALL;
    for (size_t s = 0; s < n->in->n_sets; s++) {
        const int at = first_time(n, (int)s);
        if (at == AFTER_ALL || !plan_caution_hard(&n->in->sets[s]))
            continue;
        if (!said[s])
            put_alike(n, s, said, &list);
        first = at < first ? at : first;
        put_blocks(n, (int)s, true, true, of);
    }
    if (list.n)
        add_of(
            n, first, of,
            arena_printf(n->a,
                         "hard on the body: %s; no more than %d reps at tempo in a row, walk the "
                         "others (common practice, no source)",
                         buf_text(&list), CAUTION_HARD_REPS));
    buf_free(&list);
}

/* What cannot be stepped says something about the table, not about the move. */
static void wrong_dots(struct notes *n)
{
    for (size_t s = 0; s < n->in->n_sets; s++) {
        const struct plan_set *set = &n->in->sets[s];
        const int at = first_time(n, (int)s);
        bool *of = no_blocks(n);
        put_blocks(n, (int)s, true, true, of);
        if (at < AFTER_ALL && wrong_dot(set))
            add_of(
                n, at, of,
                arena_printf(n->a,
                             "set %s: a dot is wrong, as nobody steps %.0f in; mend the table of "
                             "dots before anybody runs to it",
                             set->label, set->step_in));
    }
}

static void absent_groups(struct notes *n)
{
    struct buf names = {0};
    for (size_t g = 0; g < n->in->n_groups; g++)
        if (!n->in->groups[g].attends && n->in->groups[g].there)
            buf_printf(&names, "%s%s", names.n ? ", " : "", n->in->groups[g].name);
    if (names.n)
        add(n, BEFORE_ALL,
            arena_printf(n->a,
                         "%s: nobody attends; their fixes are left, and blocks for everyone run "
                         "without them",
                         names.p));
    buf_free(&names);
}

static int by_time(const void *a, const void *b)
{
    const struct note *x = a, *y = b;
    return x->at_s != y->at_s ? (x->at_s > y->at_s) - (x->at_s < y->at_s)
                              : (x->number > y->number) - (x->number < y->number);
}

/* What concerns a block; behind that, who decides. */
static const char *concerns(const struct notes *n, size_t block)
{
    struct buf text = {0};
    for (size_t i = 0; i < n->n; i++)
        if ((n->list[i].of && n->list[i].of[block]) || (text.n && i + 1 == n->n))
            buf_printf(&text, "%s\n", n->list[i].text);
    const char *kept = arena_strdup(n->a, buf_text(&text));
    buf_free(&text);
    return kept;
}

static void keep(struct notes *n, struct plan *plan)
{
    qsort(n->list, n->n, sizeof *n->list, by_time);
    const char **list = arena_alloc(n->a, n->n * sizeof *list);
    for (size_t i = 0; i < n->n; i++)
        list[i] = n->list[i].text;
    for (size_t i = 0; i < plan->n_blocks; i++)
        plan->blocks[i].cautions = concerns(n, i);
    free(n->list);
    plan->cautions = list;
    plan->n_cautions = n->n;
}

static void about_all(struct notes *n, const struct laid *laid)
{
    const struct heat_breaks *breaks = &n->in->rules.breaks;
    if (breaks->work_most_s == 0)
        add(n, BEFORE_ALL, "no breaks are planned, because no rhythm of work and rest was given");
    if (laid->lost_reps > 0)
        add(n, AFTER_ALL,
            arena_printf(n->a, "%d rep%s found no room in this order", laid->lost_reps,
                         laid->lost_reps == 1 ? "" : "s"));
    if (laid->not_worst_first)
        add(n, AFTER_ALL,
            "worst first leaves some block no room between the breaks, so blocks are "
            "in the order of the show");
    if (breaks->work_most_s > 0 && breaks->source)
        add_of(n, AFTER_ALL, resting(n), arena_printf(n->a, "breaks: %s", breaks->source));
    if (breaks->hour.rest_s > 0 && n->in->rules.minutes >= 60)
        add_of(
            n, AFTER_ALL, resting(n),
            arena_printf(n->a,
                         "any 60 min of this plan hold at least %g min of rest; a break is not to "
                         "be shortened, nor time that is left over filled",
                         breaks->hour.rest_s / 60.0));
}

void plan_caution(const struct plan_input *in, const struct laid *laid, struct arena *a,
                  struct plan *plan)
{
    struct notes n = {.in = in, .plan = plan, .a = a};
    long_stretches(&n);
    walk_first(&n);
    hard_moves(&n);
    wrong_dots(&n);
    hard_rows(&n, PLAN_EVERYONE);
    for (size_t g = 0; g < in->n_groups; g++)
        hard_rows(&n, (int)g);
    absent_groups(&n);
    about_all(&n, laid);
    add(&n, AFTER_ALL,
        "Local policy, the athletic trainer and licensed practice decide about heat, rest and who "
        "may take part; this plan clears nobody to work.");
    keep(&n, plan);
}
