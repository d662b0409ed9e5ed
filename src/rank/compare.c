#include "rank/compare.h"

const char *verdict_name(enum verdict v)
{
    static const char *const names[] = {
        [VERDICT_FIXED] = "fixed",   [VERDICT_FEWER] = "fewer",      [VERDICT_SAME] = "same",
        [VERDICT_MORE] = "more",     [VERDICT_NEW] = "new",          [VERDICT_UNSEEN] = "unseen",
        [VERDICT_UNSURE] = "unsure", [VERDICT_FIRST] = "first seen",
    };
    return names[v];
}

static enum verdict judge(const struct change *c)
{
    bool different = c->tested && c->p < COMPARE_LEVEL;
    if (c->from_marks == 0)
        return different ? VERDICT_NEW : VERDICT_FIRST;
    if (c->to_marks == 0)
        return different ? VERDICT_FIXED : VERDICT_UNSEEN;
    if (!c->tested)
        return VERDICT_UNSURE;
    return !different ? VERDICT_SAME : c->rates.ratio < 1 ? VERDICT_FEWER : VERDICT_MORE;
}

struct change rank_change(int fault, int from_marks, double from_min, int to_marks, double to_min)
{
    struct change c = {.fault = fault, .from_marks = from_marks, .to_marks = to_marks};
    c.tested = from_min > 0 && to_min > 0;
    if (c.tested)
        c.rates = stat_two_rates((unsigned)to_marks, to_min, (unsigned)from_marks, from_min, 0.95);
    c.p = c.rates.p;
    c.verdict = judge(&c);
    return c;
}

static int marks_of(const struct rank_list *l, int fault)
{
    for (size_t i = 0; i < l->n_items; i++)
        if (l->items[i].fault == fault)
            return l->items[i].marks + l->items[i].clean;
    return 0;
}

struct change *rank_compare(struct rank_watched from, struct rank_watched to, size_t n_faults,
                            struct arena *a, size_t *n)
{
    struct change *out = arena_alloc(a, (from.list->n_items + to.list->n_items) * sizeof *out);
    *n = 0;
    for (int f = 0; f < (int)n_faults; f++) {
        int x = marks_of(from.list, f), y = marks_of(to.list, f);
        if (x || y)
            out[(*n)++] = rank_change(f, x, from.minutes, y, to.minutes);
    }
    return out;
}

void rank_settle(struct comparison *c, struct arena *a)
{
    size_t most = 0, n = 0;
    for (size_t i = 0; i < c->n_parts; i++)
        most += c->parts[i].n;
    double *p = arena_alloc(a, (most + 1) * sizeof *p);
    struct change **tested = arena_alloc(a, (most + 1) * sizeof(struct change *));
    for (size_t i = 0; i < c->n_parts; i++)
        for (size_t k = 0; k < c->parts[i].n; k++) {
            struct change *x = &c->parts[i].changes[k];
            if (!x->tested)
                continue;
            p[n] = x->rates.p;
            tested[n++] = x;
        }
    stat_bh_adjust(p, n, p);
    for (size_t i = 0; i < n; i++) {
        tested[i]->p = p[i];
        tested[i]->verdict = judge(tested[i]);
    }
}
