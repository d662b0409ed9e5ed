#include "talk/examples.h"

#include <math.h>
#include <string.h>

#include "base/hash.h"
#include "talk/logit.h"
#include "talk/sense.h"

/* What is added to each count, so that what was never seen is not impossible (Lidstone). */
static const double some = 0.11;
static const double of_common = 0.70, of_function = 0.28;
/* How much what was learnt is held to 0 (talk/logit.h). */
static const double of_remarks = 0.002, of_praise = 0.01;

/* --- features of words ------------------------------------------------------------------------- */

/* Who and how many is no matter of the fault. */
static bool passed_over(const struct phrase *p)
{
    for (size_t i = 0; i < p->n_means; i++) {
        const enum mean is = p->means[i].is;
        if (is == MEAN_SECTION || is == MEAN_PERFORMER || is == MEAN_FORENAME || is == MEAN_NUMBER)
            return true;
    }
    return false;
}

static size_t *slot(const struct examples *x, const char *is)
{
    size_t at = hash_more(HASH_BEGIN, is, strlen(is)) % x->n_table;
    while (x->table[at] != SIZE_MAX && strcmp(x->at[x->table[at]].is, is) != 0)
        at = (at + 1) % x->n_table;
    return &x->table[at];
}

/* Calls fn for each feature of words [from, to), with its word. */
struct looking {
    const struct lexicon *l;
    const struct words *w;
    const struct hits *hits;
    void (*fn)(void *ctx, const char *is, size_t word, double topical);
    void *ctx;
};

/* Common words are said of anything; words that praise, blame or join speak of no fault at all. */
static double topical(const struct phrase *p)
{
    static const enum mean none[] = {MEAN_GOOD, MEAN_BAD,  MEAN_NOT,  MEAN_FILLER, MEAN_JOIN,
                                     MEAN_AND,  MEAN_LINK, MEAN_YOU,  MEAN_THEY,   MEAN_CUT,
                                     MEAN_BUT,  MEAN_ALL,  MEAN_MILD, MEAN_STRONG, MEAN_TURN};
    if (!phrase_means(p, MEAN_IDEA))
        for (size_t i = 0; i < sizeof none / sizeof *none; i++)
            if (phrase_means(p, none[i]))
                return of_function;
    return phrase_means(p, MEAN_ENGLISH) ? of_common : 1;
}

static void look(const struct looking *k, size_t from, size_t to)
{
    size_t word = from, hit_to = from;
    double worth = 1;
    for (size_t i = hits_from(k->hits, from); i < k->hits->n && k->hits->at[i].from < to; i++) {
        const struct hit *h = &k->hits->at[i];
        for (; word < h->from; word++)
            k->fn(k->ctx, k->w->at[word].stem, word, word < hit_to ? worth : 1);
        worth = topical(h->phrase);
        hit_to = h->from + h->n;
        if (passed_over(h->phrase)) {
            word = hit_to;
            continue;
        }
        for (size_t m = 0; m < h->phrase->n_means; m++)
            if (h->phrase->means[m].is == MEAN_IDEA)
                k->fn(k->ctx, k->l->starred[h->phrase->means[m].of], h->from, worth);
    }
    for (; word < to; word++)
        k->fn(k->ctx, k->w->at[word].stem, word, word < hit_to ? worth : 1);
}

struct using
{
    const struct examples *x;
    struct arena *a;
    struct use *at;
    size_t n, cap;
};

static void use(void *ctx, const char *is, size_t word, double topical)
{
    struct using *u = ctx;
    const size_t feature = *slot(u->x, is);
    if (feature == SIZE_MAX)
        return;
    u->at = arena_grow(u->a, u->at, u->n, &u->cap, sizeof *u->at);
    u->at[u->n++] = (struct use){feature, word, topical};
}

void examples_find(const struct lexicon *l, struct arena *a, const struct words *w,
                   const struct hits *hits, struct uses *out)
{
    struct using u = {.x = &l->examples, .a = a};
    const struct looking k = {l, w, hits, use, &u};
    if (l->examples.n > 0)
        look(&k, 0, w->n);
    *out = (struct uses){u.at, u.n};
}

/* --- learning ---------------------------------------------------------------------------------- */

struct learning {
    struct arena *a;
    struct examples *x;
    size_t cap;
    size_t n_remarks, n_faults;
    size_t *of_fault;        /* examples of each, and of none */
    const struct example *e; /* the one that is taken */
    size_t number;           /* its own, 1-based */
    /* Each example's features, and how it leans. */
    struct row {
        size_t *features;
        size_t n, cap;
        double lean[2];
        const struct example *of;
    } * rows;
    size_t n_rows;
};

static struct feature *feature(struct learning *g, const char *is)
{
    struct examples *x = g->x;
    size_t *at = slot(x, is);
    if (*at == SIZE_MAX) {
        x->at = arena_grow(g->a, x->at, x->n, &g->cap, sizeof *x->at);
        x->at[x->n] = (struct feature){.is = is};
        *at = x->n++;
    }
    return &x->at[*at];
}

static int class_of(const struct learning *g, const struct example *e)
{
    return e->fault == EXAMPLE_OTHER ? (int)g->n_faults : e->fault;
}

static void count(void *ctx, const char *is, size_t word, double topical)
{
    struct learning *g = ctx;
    const struct example *e = g->e;
    struct feature *f = feature(g, is);
    (void)word;
    (void)topical;
    if (f->seen == g->number)
        return;
    f->seen = g->number;
    f->n_remarks += e->fault != EXAMPLE_NONE;
    f->n_talk += e->fault == EXAMPLE_NONE;
    struct row *r = &g->rows[g->n_rows];
    r->features = arena_grow(g->a, r->features, r->n, &r->cap, sizeof *r->features);
    r->features[r->n++] = (size_t)(f - g->x->at);
    if (e->fault == EXAMPLE_NONE)
        return;
    struct worth *w = f->of;
    while (w && w->fault != class_of(g, e))
        w = w->next;
    if (!w) {
        w = arena_alloc(g->a, sizeof *w);
        *w = (struct worth){class_of(g, e), 0, f->of};
        f->of = w;
    }
    w->value++;
}

static void weigh(const struct learning *g, struct feature *f, size_t n_faults)
{
    const double all = (double)g->n_remarks, faults = (double)n_faults;
    const double share = ((double)f->n_remarks + some * faults) / (all + 2 * some * faults);
    for (struct worth *w = f->of; w; w = w->next) {
        const double of = (double)g->of_fault[w->fault];
        w->value = fmax(0, log((w->value + some) / (of + 2 * some)) - log(share));
    }
}

static void take_all(struct learning *g, const struct lexicon *l, const struct example *all,
                     size_t n)
{
    struct timed_cue *cues = arena_alloc(g->a, (n + 1) * sizeof *cues);
    for (size_t i = 0; i < n; i++)
        cues[i] = (struct timed_cue){.text = all[i].said, .speaker = "", .to_us = -1};
    const struct timed t = {TIMED_STAMPS, cues, n};
    struct words w;
    struct hits hits;
    words_of(g->a, &t, &w);
    lexicon_find(l, g->a, &w, &hits);
    g->x->n_table = 2 * w.n + 1024;
    g->x->table = arena_alloc(g->a, g->x->n_table * sizeof *g->x->table);
    memset(g->x->table, 0xff, g->x->n_table * sizeof *g->x->table);
    const struct looking k = {l, &w, &hits, count, g};
    const struct talk talk = {.a = g->a, .l = l, .timed = &t, .w = w, .hits = hits};
    g->rows = arena_alloc(g->a, (n + 1) * sizeof *g->rows);
    for (size_t from = 0, to; from < w.n; from = to) {
        for (to = from; to < w.n && w.at[to].cue == w.at[from].cue; to++)
            ;
        const struct example *e = g->e = &all[w.at[from].cue];
        g->number++;
        look(&k, from, to);
        const struct lean lean = lean_of(&talk, (struct span){from, to});
        g->rows[g->n_rows].lean[0] = lean.good;
        g->rows[g->n_rows].lean[1] = lean.bad;
        g->rows[g->n_rows++].of = e;
        g->n_remarks += e->fault != EXAMPLE_NONE;
        if (e->fault != EXAMPLE_NONE)
            g->of_fault[class_of(g, e)]++;
    }
}

static void learn_remark(const struct learning *g, struct logit_row *rows)
{
    struct examples *x = g->x;
    for (size_t i = 0; i < g->n_rows; i++) {
        const struct row *r = &g->rows[i];
        rows[i] = (struct logit_row){r->features, r->n, NULL, 0, r->of->fault != EXAMPLE_NONE};
    }
    const double *w = logit_learn(g->a, &(struct logit_rows){rows, g->n_rows, of_remarks}, x->n);
    for (size_t i = 0; i < x->n; i++)
        x->at[i].remark = w[i];
}

/* How it leans is two features more. */
static void learn_praise(const struct learning *g, struct logit_row *rows)
{
    struct examples *x = g->x;
    size_t n = 0;
    for (size_t i = 0; i < g->n_rows; i++) {
        struct row *r = &g->rows[i];
        if (r->of->fault == EXAMPLE_NONE)
            continue;
        for (size_t k = 0; k < 2; k++) {
            r->features = arena_grow(g->a, r->features, r->n, &r->cap, sizeof *r->features);
            r->features[r->n++] = x->n + k;
        }
        rows[n++] = (struct logit_row){r->features, r->n, r->lean, 2, r->of->praise};
    }
    const double *w = logit_learn(g->a, &(struct logit_rows){rows, n, of_praise}, x->n + 2);
    for (size_t i = 0; i < x->n; i++)
        x->at[i].praise = w[i];
    x->praise = (struct praise_worth){w[x->n], w[x->n + 1], w[x->n + 2]};
}

void examples_learn(struct arena *a, const struct lexicon *l, const struct example *all, size_t n,
                    struct examples *out)
{
    *out = (struct examples){0};
    struct learning g = {.a = a, .x = out, .n_faults = l->show->n_faults};
    g.of_fault = arena_alloc(a, (l->show->n_faults + 1) * sizeof *g.of_fault);
    take_all(&g, l, all, n);
    out->of_fault = g.of_fault;
    for (size_t i = 0; i < out->n; i++)
        weigh(&g, &out->at[i], l->show->n_faults + 1);
    struct logit_row *rows = arena_alloc(a, (g.n_rows + 1) * sizeof *rows);
    learn_remark(&g, rows);
    learn_praise(&g, rows);
}
