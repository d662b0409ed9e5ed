#include "rank/compare.h"

#include "rank/stat_power.h"

#include <stdlib.h>

const char *verdict_name(enum verdict v)
{
    static const char *const names[] = {
        [VERDICT_FIXED] = "fixed",   [VERDICT_FEWER] = "fewer",      [VERDICT_SAME] = "same",
        [VERDICT_MORE] = "more",     [VERDICT_NEW] = "new",          [VERDICT_UNSEEN] = "unseen",
        [VERDICT_UNSURE] = "unsure", [VERDICT_FIRST] = "first seen",
    };
    return names[v];
}

/* --- strata ---------------------------------------------------------------------------------- */

struct strata {
    const struct compare_data *data;
    struct arena *a;
    double *minutes[2];         /* by reviewer and set + 1 */
    int *at;                    /* the same: the stratum, or -1 */
    struct stat_stratum *empty; /* exposures, without counts */
    size_t n;
};

static size_t cell(const struct strata *s, int reviewer, int set)
{
    return (size_t)reviewer * (s->data->n_sets + 1) + (size_t)(set + 1);
}

static bool tied(const struct strata *s, enum compare_side side)
{
    for (size_t r = 0; r < s->data->n_reviewers; r++)
        for (size_t set = 0; set < s->data->n_sets; set++)
            if (s->minutes[side][cell(s, (int)r, (int)set)] > 0)
                return true;
    return false;
}

static void add_up(struct strata *s)
{
    const size_t cells = s->data->n_reviewers * (s->data->n_sets + 1) + 1;
    for (int side = 0; side < 2; side++)
        s->minutes[side] = arena_alloc(s->a, cells * sizeof(double));
    s->at = arena_alloc(s->a, cells * sizeof *s->at);
    s->empty = arena_alloc(s->a, cells * sizeof *s->empty);
    for (size_t i = 0; i < cells; i++)
        s->at[i] = -1;
    for (size_t i = 0; i < s->data->n_watched; i++) {
        const struct compare_watched *w = &s->data->watched[i];
        s->minutes[w->side][cell(s, w->reviewer, w->set)] += w->minutes;
    }
}

static void add_stratum(struct strata *s, double from, double to)
{
    s->empty[s->n++] = (struct stat_stratum){.t1 = to, .t2 = from};
}

/* What the same eyes watched of this set on both sides. */
static void same_eyes(struct strata *s, int set)
{
    for (size_t r = 0; r < s->data->n_reviewers; r++) {
        const size_t i = cell(s, (int)r, set);
        if (!(s->minutes[COMPARE_FROM][i] > 0 && s->minutes[COMPARE_TO][i] > 0))
            continue;
        s->at[i] = (int)s->n;
        add_stratum(s, s->minutes[COMPARE_FROM][i], s->minutes[COMPARE_TO][i]);
    }
}

/* What some eyes watched of it on one side and others on the other. */
static void other_eyes(struct strata *s, int set)
{
    double sum[2] = {0, 0};
    for (size_t r = 0; r < s->data->n_reviewers; r++)
        for (int side = 0; side < 2; side++)
            sum[side] += s->minutes[side][cell(s, (int)r, set)];
    if (!(sum[COMPARE_FROM] > 0 && sum[COMPARE_TO] > 0))
        return;
    for (size_t r = 0; r < s->data->n_reviewers; r++) {
        const size_t i = cell(s, (int)r, set);
        if (s->minutes[COMPARE_FROM][i] > 0 || s->minutes[COMPARE_TO][i] > 0)
            s->at[i] = (int)s->n;
    }
    add_stratum(s, sum[COMPARE_FROM], sum[COMPARE_TO]);
}

static void find_strata(struct strata *s, struct comparison *c)
{
    const bool from = tied(s, COMPARE_FROM), to = tied(s, COMPARE_TO);
    c->basis = from && to ? COMPARE_SETS : from || to ? COMPARE_ONE_TIED : COMPARE_TIME;
    if (c->basis == COMPARE_ONE_TIED)
        return;
    const int first = c->basis == COMPARE_TIME ? -1 : 0;
    const int last = c->basis == COMPARE_TIME ? -1 : (int)s->data->n_sets - 1;
    bool *compared = arena_alloc(s->a, (s->data->n_sets + 1) * sizeof *compared);
    for (int eyes = 0; eyes < 2 && s->n == 0; eyes++) {
        for (int set = first; set <= last; set++) {
            const size_t before = s->n;
            (eyes ? other_eyes : same_eyes)(s, set);
            if (set >= 0)
                compared[set] = s->n > before;
        }
        c->other_eyes = eyes && s->n > 0;
    }
    c->set_compared = compared;
    for (size_t i = 0; i < s->n; i++) {
        c->to.compared_min += s->empty[i].t1;
        c->from.compared_min += s->empty[i].t2;
    }
}

/* --- lines ----------------------------------------------------------------------------------- */

static int by_line(const void *a, const void *b)
{
    const struct compare_mark *x = a, *y = b;
    const int64_t keys[][2] = {{x->part, y->part},
                               {x->fault, y->fault},
                               {x->side, y->side},
                               {x->reviewer, y->reviewer},
                               {(int64_t)x->clip, (int64_t)y->clip},
                               {x->at_us, y->at_us}};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (keys[i][0] != keys[i][1])
            return keys[i][0] < keys[i][1] ? -1 : 1;
    return 0;
}

/* One line: its counted marks and its sightings, by stratum. */
struct tally {
    struct strata *s;
    struct stat_stratum *marks, *seen;
    struct change change;
    const struct compare_mark *last; /* sighting */
};

static bool same_sighting(const struct tally *t, const struct compare_mark *m)
{
    const struct compare_mark *l = t->last;
    return l && l->side == m->side && l->reviewer == m->reviewer && l->clip == m->clip &&
           m->at_us - l->at_us < COMPARE_SIGHT_US;
}

static void count_mark(struct tally *t, const struct compare_mark *m, struct comparison *c)
{
    const bool to = m->side == COMPARE_TO;
    const int at = t->s->at[cell(t->s, m->reviewer, m->set)];
    *(to ? &t->change.to_marks : &t->change.from_marks) += 1;
    if (at < 0) {
        *(to ? &c->to.left_out : &c->from.left_out) += 1;
        return;
    }
    *(to ? &t->change.to_counted : &t->change.from_counted) += 1;
    *(to ? &t->marks[at].x1 : &t->marks[at].x2) += 1;
    if (same_sighting(t, m))
        return;
    t->last = m;
    *(to ? &t->change.to_seen : &t->change.from_seen) += 1;
    *(to ? &t->seen[at].x1 : &t->seen[at].x2) += 1;
}

static struct stat_stratum *fresh(struct strata *s)
{
    struct stat_stratum *out = arena_alloc(s->a, (s->n + 1) * sizeof *out);
    for (size_t i = 0; i < s->n; i++)
        out[i] = s->empty[i];
    return out;
}

struct line {
    struct change *change;
    struct stat_strata seen;
};

/* The marks of one line, first .. end - 1. */
static struct line count_line(struct strata *s, size_t first, size_t end, struct comparison *c,
                              struct change *out)
{
    struct tally t = {.s = s, .marks = fresh(s), .seen = fresh(s)};
    t.change.fault = s->data->marks[first].fault;
    for (size_t i = first; i < end; i++)
        count_mark(&t, &s->data->marks[i], c);
    t.change.tested = s->n > 0 && t.change.from_counted + t.change.to_counted > 0;
    if (t.change.tested)
        t.change.rates = stat_strata_rates((struct stat_strata){t.marks, s->n}, 0.95);
    *out = t.change;
    return (struct line){out, {t.seen, s->n}};
}

/* --- verdicts -------------------------------------------------------------------------------- */

static enum verdict judge(const struct change *c)
{
    const bool different = c->tested && c->p < COMPARE_LEVEL;
    if (c->from_marks == 0)
        return different ? VERDICT_NEW : VERDICT_FIRST;
    if (c->to_marks == 0)
        return different ? VERDICT_FIXED : VERDICT_UNSEEN;
    if (!c->tested)
        return VERDICT_UNSURE;
    return !different ? VERDICT_SAME : c->rates.ratio < 1 ? VERDICT_FEWER : VERDICT_MORE;
}

static void settle(const struct line *lines, size_t n, struct arena *a, struct comparison *c)
{
    struct stat_dispersion d = {0};
    double *p = arena_alloc(a, (n + 1) * sizeof *p);
    size_t tested = 0;
    for (size_t i = 0; i < n; i++)
        if (lines[i].change->tested)
            stat_dispersion_add(&d, lines[i].seen);
    c->dispersion = stat_dispersion(&d);
    const struct stat_allowance allow = {c->other_eyes ? COMPARE_EYES : 1, c->dispersion};
    for (size_t i = 0; i < n; i++)
        if (lines[i].change->tested)
            p[tested++] = stat_strata_p(lines[i].seen, allow);
    stat_bh_adjust(p, tested, p);
    c->n_tested = tested;
    tested = 0;
    for (size_t i = 0; i < n; i++) {
        if (lines[i].change->tested)
            lines[i].change->p = p[tested++];
        lines[i].change->verdict = judge(lines[i].change);
    }
}

static bool of_one_line(const struct compare_mark *x, const struct compare_mark *y)
{
    return x->part == y->part && x->fault == y->fault;
}

void rank_compare(const struct compare_data *data, struct arena *a, struct comparison *c)
{
    struct strata s = {.data = data, .a = a};
    struct line *lines = arena_alloc(a, (data->n_marks + 1) * sizeof *lines);
    struct change *changes = arena_alloc(a, (data->n_marks + 1) * sizeof *changes);
    size_t n = 0;
    add_up(&s);
    find_strata(&s, c);
    if (data->n_marks)
        qsort(data->marks, data->n_marks, sizeof *data->marks, by_line);
    for (size_t i = 0, end; i < data->n_marks; i = end) {
        for (end = i + 1; end < data->n_marks && of_one_line(&data->marks[i], &data->marks[end]);)
            end++;
        struct compared *part = &c->parts[data->marks[i].part];
        part->changes = part->n++ ? part->changes : &changes[n];
        lines[n] = count_line(&s, i, end, c, &changes[n]);
        n++;
    }
    settle(lines, n, a, c);
}

double rank_halving(const struct comparison *c)
{
    const struct stat_power_ask ask = {
        .t1 = c->from.compared_min,
        .t2 = c->to.compared_min,
        .ratio = 0.5,
        .level = COMPARE_LEVEL / (double)(c->n_tested ? c->n_tested : 1),
        .spread = c->other_eyes ? COMPARE_EYES : 1,
        .dispersion = c->dispersion,
        .power = COMPARE_POWER,
    };
    return stat_power_count(&ask);
}
