#include <math.h>
#include <stdint.h>
#include <string.h>

#include "talk/examples.h"
#include "talk/sense.h"

/* The words of a sign may lie as far apart as a short clause is long; beyond that they say less. */
static const double near_words = 3.94, fades = 0.03;

/* --- ideas of a span --------------------------------------------------------------------------- */

/* Where an idea of the span is said nearest to a word; SIZE_MAX where it is not. */
static size_t nearest(const struct talk *t, struct span s, int idea, size_t to)
{
    size_t best = SIZE_MAX, apart = SIZE_MAX;
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++) {
        const struct hit *h = &t->hits.at[i];
        for (size_t k = 0; k < h->phrase->n_means; k++) {
            const struct meaning *m = &h->phrase->means[k];
            const size_t d = h->from > to ? h->from - to : to - h->from;
            if (m->is == MEAN_IDEA && m->of == idea && d < apart) {
                best = i;
                apart = d;
            }
        }
    }
    return best;
}

struct found {
    double score;
    struct span where;
    bool by_name; /* as the show calls it, in two words or more */
};

/* A common word says less than one that people only use for the thing. */
static double says(const struct talk *t, const struct hit *h, int idea)
{
    const double common = phrase_means(h->phrase, MEAN_ENGLISH) ? 0.55 : 1;
    return common * (0.35 + t->l->weights[idea]);
}

static struct found sign_found(const struct talk *t, struct span s, const struct sign *g)
{
    struct found best = {0};
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++) {
        const struct hit *h = &t->hits.at[i];
        bool is = false;
        for (size_t k = 0; k < h->phrase->n_means; k++)
            is |= h->phrase->means[k].is == MEAN_IDEA && h->phrase->means[k].of == g->ideas[0];
        if (!is)
            continue;
        struct found f = {says(t, h, g->ideas[0]), {h->from, h->from + h->n}, false};
        for (size_t k = 1; k < g->n; k++) {
            const size_t at = nearest(t, s, g->ideas[k], h->from);
            if (at == SIZE_MAX)
                return best;
            const struct hit *o = &t->hits.at[at];
            f.score += says(t, o, g->ideas[k]);
            f.where.from = o->from < f.where.from ? o->from : f.where.from;
            f.where.to = o->from + o->n > f.where.to ? o->from + o->n : f.where.to;
        }
        const double far = (double)(f.where.to - f.where.from) - near_words;
        f.score *= far > 0 ? fmax(0.4, 1 - fades * far) : 1;
        if (f.score > best.score)
            best = f;
    }
    return best;
}

/* --- of all faults ----------------------------------------------------------------------------- */

/* What a sign and what the words of examples are worth, and the most that one word can say. */
static const double of_name = 0.56, of_sign = 0.30, of_examples = 0.20, most_of_a_word = 2.41;

enum { FEW_EXAMPLES = 3 };

struct tally {
    const struct talk *t;
    bool *ideas;  /* said: most signs need no closer look */
    size_t *seen; /* of a feature: the tally's number when it was added */
    size_t number;
    double *sum;         /* of a fault, by examples */
    struct found *signs; /* of a fault */
    double remark, praise;
};

struct tally *tally_new(const struct talk *t)
{
    struct tally *k = arena_alloc(t->a, sizeof *k);
    const size_t n = t->l->show->n_faults + 1;
    *k = (struct tally){.t = t};
    k->ideas = arena_alloc(t->a, (t->l->n_ideas + 1) * sizeof *k->ideas);
    k->seen = arena_alloc(t->a, (t->l->examples.n + 1) * sizeof *k->seen);
    k->sum = arena_alloc(t->a, n * sizeof *k->sum);
    k->signs = arena_alloc(t->a, n * sizeof *k->signs);
    tally_clear(k);
    return k;
}

void tally_clear(struct tally *k)
{
    memset(k->ideas, 0, k->t->l->n_ideas * sizeof *k->ideas);
    memset(k->sum, 0, (k->t->l->show->n_faults + 1) * sizeof *k->sum);
    k->number++;
    k->remark = k->praise = 0;
}

static double held(double x, double most)
{
    return x > most ? most : x < -most ? -most : x;
}

static void add_feature(struct tally *k, const struct use *u)
{
    const size_t feature = u->feature;
    const struct feature *f = &k->t->l->examples.at[feature];
    if (k->seen[feature] == k->number)
        return;
    k->seen[feature] = k->number;
    k->remark += f->remark;
    k->praise += f->praise;
    for (const struct worth *w = f->of; w; w = w->next)
        k->sum[w->fault] += u->topical * held(w->value, most_of_a_word);
}

void tally_add(struct tally *k, struct span s)
{
    const struct talk *t = k->t;
    for (size_t i = t->use_at[s.from]; i < t->uses.n && t->uses.at[i].word < s.to; i++)
        add_feature(k, &t->uses.at[i]);
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++) {
        const struct phrase *p = t->hits.at[i].phrase;
        for (size_t m = 0; m < p->n_means; m++)
            if (p->means[m].is == MEAN_IDEA)
                k->ideas[p->means[m].of] = true;
    }
}

static bool may_be(const struct sign *g, const bool *said)
{
    for (size_t i = 0; i < g->n; i++)
        if (!said[g->ideas[i]])
            return false;
    return true;
}

static void offer(struct found *best, int fault, struct found f)
{
    const bool by_name = f.by_name || best[fault].by_name;
    if (f.score > best[fault].score)
        best[fault] = f;
    best[fault].by_name = by_name;
}

/* A name of several words says more than one of a single word, which is often a common one. */
static double phrase_score(const struct phrase *p)
{
    const double score = p->n == 1 ? 0.95 : 1.1 + 0.45 * (double)p->n;
    return score / sqrt((double)p->n_means);
}

static void find_signs(struct tally *k, struct span s)
{
    const struct talk *t = k->t;
    const struct hits *h = &t->hits;
    memset(k->signs, 0, (t->l->show->n_faults + 1) * sizeof *k->signs);
    for (size_t i = 0; i < t->l->n_signs; i++)
        if (may_be(&t->l->signs[i], k->ideas))
            offer(k->signs, t->l->signs[i].fault, sign_found(t, s, &t->l->signs[i]));
    for (size_t i = fault_hits_from(h, s.from); i < h->n_faults && h->faults[i].from < s.to; i++)
        for (size_t m = 0; m < h->faults[i].phrase->n_means; m++)
            offer(k->signs, h->faults[i].phrase->means[m].of,
                  (struct found){phrase_score(h->faults[i].phrase),
                                 {h->faults[i].from, h->faults[i].from + h->faults[i].n},
                                 h->faults[i].n > 1});
}

/* A fault that the staff named has nothing but its words. */
static double sign_worth(const struct tally *k, size_t fault)
{
    return k->t->l->examples.of_fault[fault] < FEW_EXAMPLES ? 1 : of_sign;
}

struct topic tally_topic(struct tally *k, struct span s)
{
    find_signs(k, s);
    struct topic out = {.fault = -1, .told_remark = k->remark, .told_praise = k->praise};
    const size_t n = k->t->l->show->n_faults;
    for (size_t i = 0; i <= n; i++) {
        const double score = sign_worth(k, i) * k->signs[i].score + of_examples * k->sum[i] +
                             of_name * k->signs[i].by_name;
        if (score > out.score) {
            out.second = out.score;
            out.score = score;
            out.fault = i < n ? (int)i : -1;
            out.sign = k->signs[i].score;
            out.by_name = k->signs[i].by_name;
            out.where = k->signs[i].where;
        } else if (score > out.second)
            out.second = score;
    }
    return out;
}

/* --- why --------------------------------------------------------------------------------------- */

static double worth_of(const struct feature *f, int fault)
{
    for (const struct worth *w = f->of; w; w = w->next)
        if (w->fault == fault)
            return w->value;
    return 0;
}

/* The three words that examples know best of the fault, as they stand. */
static const char *best_words(const struct talk *t, struct span s, int fault)
{
    struct {
        size_t word;
        double worth;
    } best[3] = {0};
    for (size_t i = t->use_at[s.from]; i < t->uses.n && t->uses.at[i].word < s.to; i++) {
        const struct use *u = &t->uses.at[i];
        double worth = u->topical * worth_of(&t->l->examples.at[u->feature], fault);
        bool twice = false;
        for (size_t b = 0; b < 3; b++)
            twice |= best[b].worth > 0 && best[b].word == u->word;
        for (size_t b = 0; b < 3 && !twice; b++)
            if (worth > best[b].worth) {
                memmove(&best[b + 1], &best[b], (2 - b) * sizeof *best);
                best[b].word = u->word;
                best[b].worth = worth;
                break;
            }
    }
    const char *out = "";
    for (size_t word = s.from; word < s.to; word++)
        for (size_t b = 0; b < 3; b++)
            if (best[b].worth > 0 && best[b].word == word)
                out = arena_printf(t->a, "%s%s%s", out, *out ? ", " : "", t->w.at[word].is);
    return out;
}

const char *topic_words(const struct talk *t, struct span s, const struct topic *topic)
{
    const size_t n = topic->where.to - topic->where.from;
    if (topic->sign < 1)
        return best_words(t, s, topic->fault);
    if (n <= 6)
        return said(t, topic->where.from, n);
    return arena_printf(t->a, "%s ... %s", said(t, topic->where.from, 2),
                        said(t, topic->where.to - 3, 3));
}
