#include "talk/sense.h"

/* An idea leans less than a word that does nothing else; what follows a 'but' is what is meant. */
static const double of_idea = 0.59, behind_but = 1.33, of_wish = 1.41, of_not = 0.90,
                    of_unsure = 0.49;
enum { NOT_REACHES = 4 }; /* words */

struct leaning {
    const struct talk *t;
    struct lean out;
    size_t from;
    double weight, most;
    size_t not_at; /* word behind the last that denies; SIZE_MAX: none */
    bool wish;     /* what is good now is only wanted */
    bool ban;      /* and what is bad is not to be */
};

/* What leans most is what a person would quote. */
static void count(struct leaning *g, double lean, const struct hit *h)
{
    if (lean > 0)
        g->out.good += lean * g->weight;
    else
        g->out.bad -= lean * g->weight;
    const double size = lean < 0 ? -lean : lean;
    if (size * g->weight > g->most) {
        g->most = size * g->weight;
        const bool denied = g->not_at != SIZE_MAX && g->not_at <= h->from;
        const size_t from = denied ? g->not_at - 1 : h->from;
        g->out.words = (struct span){from, h->from + h->n};
    }
}

/* A denial that nothing followed says little, but it says something. */
static void forget_not(struct leaning *g)
{
    if (g->not_at != SIZE_MAX)
        g->out.bad += of_not * g->weight;
    g->not_at = SIZE_MAX;
}

static void take(struct leaning *g, const struct hit *h, const struct meaning *m)
{
    if (m->leans == 0)
        return;
    double lean = m->leans * (m->is == MEAN_IDEA ? of_idea : 1);
    if (g->ban || (g->wish && lean < 0))
        lean = lean > 0 ? -lean : lean;
    else if (g->not_at != SIZE_MAX && h->from < g->not_at + NOT_REACHES)
        lean = -lean;
    else if (g->wish && lean > 0)
        lean = -lean;
    count(g, lean, h);
    g->not_at = SIZE_MAX;
}

static void wishes(struct leaning *g)
{
    if (!g->out.wish)
        g->out.bad += of_wish * g->weight;
    g->out.wish = g->wish = true;
}

/* Is it where a command begins: at the head, or behind whom it calls? */
static bool at_head(const struct leaning *g, size_t hit)
{
    static const enum mean before[] = {MEAN_SECTION, MEAN_CUT,    MEAN_TURN, MEAN_WISH,
                                       MEAN_DO,      MEAN_FILLER, MEAN_BUT,  MEAN_PERFORMER};
    const struct hits *all = &g->t->hits;
    const struct hit *h = &all->at[hit];
    if (h->from == g->from || g->t->w.at[h->from - 1].ends != WORD_GOES_ON)
        return true;
    const struct hit *was = hit > 0 ? &all->at[hit - 1] : NULL;
    if (!was || was->from + was->n != h->from)
        return false;
    /* 'The flutes look tall' tells; 'flutes, look up' calls. */
    if (phrase_means(was->phrase, MEAN_SECTION) && hit > 1 &&
        all->at[hit - 2].from + all->at[hit - 2].n == was->from &&
        phrase_means(all->at[hit - 2].phrase, MEAN_JOIN))
        return false;
    for (size_t i = 0; i < sizeof before / sizeof *before; i++)
        if (phrase_means(was->phrase, before[i]))
            return true;
    return false;
}

static void function(struct leaning *g, size_t hit)
{
    const struct hit *h = &g->t->hits.at[hit];
    const struct phrase *p = h->phrase;
    if (phrase_means(p, MEAN_BAN) && (at_head(g, hit) || !phrase_means(p, MEAN_NOT))) {
        forget_not(g);
        wishes(g);
        g->ban = true;
        return;
    }
    if (phrase_means(p, MEAN_DO) && at_head(g, hit))
        wishes(g);
    if (phrase_means(p, MEAN_BUT)) {
        forget_not(g);
        g->wish = g->ban = false;
        g->weight = behind_but;
    }
    if (phrase_means(p, MEAN_NOT)) {
        forget_not(g);
        g->not_at = h->from + h->n;
    }
    if (phrase_means(p, MEAN_WISH))
        wishes(g);
    if (phrase_means(p, MEAN_UNSURE) && !g->out.unsure) {
        g->out.unsure = true;
        g->out.bad += of_unsure;
    }
}

/* One meaning of a phrase leans: 'apart' is bad once, whatever ideas it has. */
static const struct meaning *leaning_of(const struct phrase *p)
{
    const struct meaning *best = NULL;
    for (size_t i = 0; i < p->n_means; i++)
        if (p->means[i].leans != 0 && (!best || p->means[i].is != MEAN_IDEA))
            best = &p->means[i];
    return best;
}

struct lean lean_of(const struct talk *t, struct span s)
{
    struct leaning g = {.t = t, .from = s.from, .weight = 1, .not_at = SIZE_MAX};
    size_t word = s.from;
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++) {
        const struct hit *h = &t->hits.at[i];
        for (; word < h->from; word++)
            if (t->w.at[word].ends != WORD_GOES_ON) {
                forget_not(&g);
                g.wish &= t->w.at[word].ends != WORD_STOP;
                g.ban = false;
            }
        function(&g, i);
        const struct meaning *m = leaning_of(h->phrase);
        if (m)
            take(&g, h, m);
    }
    forget_not(&g);
    return g.out;
}
