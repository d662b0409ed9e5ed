#include "talk/remarks.h"

#include <math.h>
#include <string.h>

enum {
    CLAUSES_MOST = 14,
    SENTENCES_MOST = 3,
    WORDS_MOST = 60,
    HEAD_WORDS = 12,
    TAIL_WORDS = 10,
    BARE_WORDS = 2
};

/* What speaks for a remark and against it, in logarithms of odds. */
static const double bias = -5.60, of_topic = 0.96, most_topic = 2.83, of_sure = 0.50,
                    of_name = 3.62, of_lean = 0.56, most_lean = 5.45, of_told = 0.50,
                    most_told = 4.00, of_unsure = -0.39, of_understood = 0.99, of_sentence = -0.56,
                    of_other = -1.33, of_late_name = -1.36, of_aside = -1.58, of_story = -1.37,
                    of_self = -1.27, of_clause = 0.00, of_same = 1.69, of_density = 0.53,
                    of_you = 1.00, of_both = 0.86, of_part = -2.22, of_mixed = 0.38,
                    of_loose_other = 3.50, of_loose_part = -0.39, of_called = 1.50,
                    of_next_name = -3.00, of_bare = -2.00;

struct dividing {
    const struct talk *t;
    const struct clause *c;
    size_t n;
    struct tally *tally;   /* of the remark that is judged */
    struct remark *ending; /* the best remark that ends with a clause */
    double *best;          /* odds of all before a clause */
    size_t *from;          /* the first clause of the remark that ends before it; itself: talk */
};

struct span remark_span(const struct clause *c, const struct remark *r)
{
    return (struct span){c[r->first].s.from, c[r->last].s.to};
}

static bool named(const struct clause *c)
{
    return (c->who.n > 0 && !c->who.place) || c->who.all;
}

static bool same_who(const struct who *a, const struct who *b)
{
    if (a->n != b->n)
        return false;
    for (size_t i = 0; i < a->n; i++)
        if (a->at[i].section != b->at[i].section || a->at[i].performer != b->at[i].performer)
            return false;
    return true;
}

/* 'The low brass ... but one trombone': those of them that are meant. */
static bool within(const struct dividing *d, const struct who *who, const struct who *of)
{
    return who->n == 1 && (of->n == 1 || (of->n == 0 && of->all)) &&
           (of->n == 0 || (who->at[0].section != of->at[0].section &&
                           section_within(d->t->l->show, who->at[0].section, of->at[0].section)));
}

/* --- one remark -------------------------------------------------------------------------------- */

/* Who it is about, and what it costs that more are named. */
static double who_is(const struct dividing *d, struct remark *r)
{
    const struct clause *c = d->c;
    double odds = 0;
    bool have = false;
    r->who = c[r->first].who;
    for (size_t i = r->first; i <= r->last; i++) {
        const struct who *who = &c[i].who;
        r->who.one |= who->one;
        r->who.some |= who->some;
        if (!named(&c[i])) {
            if (!have && r->who.n == 0 && who->n > 0) {
                const bool one = r->who.one;
                r->who = *who;
                r->who.one |= one;
            }
            continue;
        }
        if (!have) {
            const bool one = r->who.one, some = r->who.some;
            r->who = *who;
            r->who.one |= one;
            r->who.some |= some;
            odds += of_name + (i > r->first && i < r->last ? of_late_name : 0) +
                    (c[i].sentence > c[r->first].sentence ? of_next_name : 0);
        } else if (within(d, who, &r->who))
            r->who = *who;
        else if (who->n > 0 && !same_who(who, &r->who))
            odds += (r->who.n == 0 ? of_other / 2 : of_other) * (c[i].loose ? of_loose_other : 1);
        else if (who->n == 0 && r->who.n > 0 && who->all)
            odds += of_other / 4;
        have = true;
    }
    return odds;
}

static double understood(const struct talk *t, struct span s)
{
    size_t n = 0;
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++)
        n += t->hits.at[i].n;
    return (double)n / (double)(s.to - s.from);
}

static double clause_odds(const struct dividing *d, const struct remark *r)
{
    double odds = 0;
    for (size_t i = r->first; i <= r->last; i++) {
        const struct clause *c = &d->c[i];
        odds += of_aside * c->aside + of_story * c->story + of_self * c->self;
        if (i > r->first) {
            odds += c->sentence == c[-1].sentence ? of_clause : of_sentence;
        }
    }
    return odds;
}

static double lean_odds(const struct lean *l)
{
    return of_lean * fmin(fabs(l->good - l->bad) + of_mixed * fmin(l->good, l->bad), most_lean) +
           of_unsure * l->unsure;
}

static double told_odds(double told)
{
    return fmax(-most_told, fmin(most_told, of_told * told));
}

static void judge(struct dividing *d, struct remark *r)
{
    const struct span s = remark_span(d->c, r);
    r->topic = tally_topic(d->tally, s);
    r->lean = lean_of(d->t, s);
    const struct topic *o = &r->topic;
    r->odds = bias + of_topic * fmin(o->score, most_topic) + of_sure * (o->score - o->second) +
              of_called * o->by_name + lean_odds(&r->lean) + told_odds(o->told_remark) +
              who_is(d, r) + clause_odds(d, r) + of_understood * understood(d->t, s) +
              of_density * o->score / sqrt((double)(s.to - s.from));
    /* 'Snares look great' is one though no fault is meant. */
    if ((r->who.n > 0 && !r->who.place) || r->who.all)
        r->odds += of_both * fmin(1, fabs(r->lean.good - r->lean.bad));
    else if (speaks_to(d->t, s) || speaks_of(d->t, s))
        r->odds += of_you;
    else if (s.to - s.from <= BARE_WORDS) /* 'Horns up.' commands */
        r->odds += of_bare;
    for (size_t i = r->first; i <= r->last; i++)
        r->same |= d->c[i].same;
    if (r->same)
        r->odds += of_same;
    if (r->first > 0 && d->c[r->first].sentence == d->c[r->first - 1].sentence)
        r->odds += d->c[r->first].loose ? of_loose_part : of_part;
    if (r->last + 1 < d->n && d->c[r->last].sentence == d->c[r->last + 1].sentence)
        r->odds += d->c[r->last].loose ? of_loose_part : of_part;
}

/* --- the best division ------------------------------------------------------------------------- */

static bool may_hold(const struct dividing *d, size_t first, size_t last)
{
    const struct clause *c = d->c;
    if (last - first >= CLAUSES_MOST || c[last].sentence - c[first].sentence >= SENTENCES_MOST ||
        c[last].s.to - c[first].s.from > WORDS_MOST)
        return false;
    return first == last || c[first].ends != CLAUSE_PAUSE;
}

static void best_ending(struct dividing *d, size_t last)
{
    d->best[last + 1] = d->best[last];
    d->from[last + 1] = last + 1;
    tally_clear(d->tally);
    for (size_t first = last + 1; first-- > 0 && may_hold(d, first, last);) {
        tally_add(d->tally, d->c[first].s);
        struct remark r = {.first = first, .last = last};
        judge(d, &r);
        if (r.odds > 0 && d->best[first] + r.odds > d->best[last + 1]) {
            d->best[last + 1] = d->best[first] + r.odds;
            d->from[last + 1] = first;
            d->ending[last] = r;
        }
    }
}

/* The rest of its sentence, where that is short and no other remark's: so it is quoted whole. */
static void whole(const struct dividing *d, struct remark *r, size_t from, size_t to)
{
    const struct clause *c = d->c;
    size_t first = r->first, last = r->last;
    while (first > from && c[first - 1].sentence == c[r->first].sentence && !c[first].loose)
        first--;
    while (last + 1 < to && c[last + 1].sentence == c[r->last].sentence)
        last++;
    if (c[r->first].s.from - c[first].s.from <= HEAD_WORDS)
        r->first = first;
    if (c[last].s.to - c[r->last].s.to <= TAIL_WORDS)
        r->last = last;
}

struct remarks remarks_of(const struct talk *t, const struct clause *c, size_t n)
{
    struct dividing d = {.t = t, .c = c, .n = n, .tally = tally_new(t)};
    d.ending = arena_alloc(t->a, (n + 1) * sizeof *d.ending);
    d.best = arena_alloc(t->a, (n + 1) * sizeof *d.best);
    d.from = arena_alloc(t->a, (n + 1) * sizeof *d.from);
    for (size_t i = 0; i < n; i++)
        best_ending(&d, i);
    struct remark *out = arena_alloc(t->a, (n + 1) * sizeof *out);
    size_t m = 0;
    for (size_t i = n; i > 0;) {
        if (d.from[i] == i) {
            i--;
            continue;
        }
        out[m++] = d.ending[i - 1];
        i = d.from[i];
    }
    for (size_t i = 0; i < m / 2; i++) {
        const struct remark swap = out[i];
        out[i] = out[m - 1 - i];
        out[m - 1 - i] = swap;
    }
    for (size_t i = 0; i < m; i++)
        whole(&d, &out[i], i > 0 ? out[i - 1].last + 1 : 0, i + 1 < m ? out[i + 1].first : n);
    return (struct remarks){out, m};
}
