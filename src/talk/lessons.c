/* What several corrections have in common. */
#include <stdlib.h>
#include <string.h>

#include "talk/teach_inner.h"

struct proposal {
    const struct teachable *t; /* the first that says it, and of all the lowest rank */
    size_t n, first, number;   /* corrections, the first of them; as they were found */
    int rank;
};

static bool alike(const struct teachable *a, const struct teachable *b)
{
    return a->section == b->section && a->of == b->of && strcmp(a->stems, b->stems) == 0;
}

/* A correction may say a word twice. */
static struct proposal *fold(struct arena *a, const struct teachables *all, size_t *n)
{
    struct proposal *out = arena_alloc(a, (all->n + 1) * sizeof *out);
    *n = 0;
    for (size_t i = 0; i < all->n; i++) {
        const struct teachable *t = &all->at[i];
        size_t k = 0;
        while (k < *n && !alike(out[k].t, t))
            k++;
        if (k == *n) {
            out[k] = (struct proposal){t, 1, t->correction, k, t->rank};
            ++*n;
            continue;
        }
        bool again = false; /* they come by correction */
        for (size_t j = i; j-- > 0 && all->at[j].correction == t->correction && !again;)
            again = alike(&all->at[j], t);
        out[k].n += !again;
        out[k].rank = t->rank < out[k].rank ? t->rank : out[k].rank;
    }
    return out;
}

static int by_worth(const void *a, const void *b)
{
    const struct proposal *p = a, *q = b;
    if (p->n != q->n)
        return p->n > q->n ? -1 : 1;
    if (p->rank != q->rank)
        return p->rank < q->rank ? -1 : 1;
    if (p->t->n != q->t->n)
        return p->t->n > q->t->n ? -1 : 1;
    return p->number < q->number ? -1 : p->number > q->number;
}

/* Does some correction speak for it that speaks for none before it? Then all that do are taken. */
static bool is_wanted(const struct teachables *all, const struct proposal *p, bool *spoke)
{
    bool wanted = false;
    for (size_t i = 0; i < all->n; i++)
        if (alike(&all->at[i], p->t)) {
            bool *one = &spoke[2 * all->at[i].correction + p->t->section];
            wanted |= !*one;
        }
    for (size_t i = 0; i < all->n && wanted; i++)
        if (alike(&all->at[i], p->t))
            spoke[2 * all->at[i].correction + p->t->section] = true;
    return wanted;
}

void teach_lessons(struct arena *a, const struct lexicon *l, const struct corrections *all,
                   struct lessons *out)
{
    struct teachables found = {.a = a};
    size_t n;
    for (size_t i = 0; i < all->n; i++)
        teach_look(l, &all->at[i], i, &found);
    struct proposal *p = fold(a, &found, &n);
    if (n > 0)
        qsort(p, n, sizeof *p, by_worth);
    bool *spoke = arena_alloc(a, (2 * all->n + 2) * sizeof *spoke);
    struct lesson *at = arena_alloc(a, (n + 1) * sizeof *at);
    *out = (struct lessons){at, 0};
    for (size_t i = 0; i < n; i++)
        if (is_wanted(&found, &p[i], spoke))
            at[out->n++] = (struct lesson){p[i].t->section, p[i].t->of, p[i].t->words, p[i].n,
                                           all->at[p[i].first].quote};
}
