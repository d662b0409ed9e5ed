#include <string.h>

#include "base/hash.h"
#include "talk/lexicon_inner.h"

void *arena_grow(struct arena *a, void *at, size_t n, size_t *cap, size_t size)
{
    if (n < *cap)
        return at;
    *cap = *cap ? 2 * *cap : 64;
    void *more = arena_alloc(a, *cap * size);
    if (n > 0)
        memcpy(more, at, n * size);
    return more;
}

const char *next_of(struct arena *a, const char **list, char parted_by)
{
    while (**list == ' ' || **list == parted_by)
        ++*list;
    const char *from = *list, *end = strchr(from, parted_by);
    size_t n = end ? (size_t)(end - from) : strlen(from);
    *list = from + n;
    while (n > 0 && from[n - 1] == ' ')
        n--;
    return n > 0 ? arena_strndup(a, from, n) : NULL;
}

void entries_add(struct entries *all, const char *text, struct meaning means)
{
    all->at = arena_grow(all->a, all->at, all->n, &all->cap, sizeof *all->at);
    all->at[all->n++] = (struct entry){text, means};
}

const struct meaning *phrase_means(const struct phrase *p, enum mean is)
{
    for (size_t i = 0; i < p->n_means; i++)
        if (p->means[i].is == is)
            return &p->means[i];
    return NULL;
}

/* --- compiled ---------------------------------------------------------------------------------- */

static size_t *bucket_of(const struct phrases *p, const char *stem)
{
    return &p->buckets[hash_more(HASH_BEGIN, stem, strlen(stem)) % p->n_buckets];
}

static bool alike(const struct phrase *p, const struct phrase *q)
{
    if (p->n != q->n || (p->exact != NULL) != (q->exact != NULL) ||
        (p->exact && strcmp(p->exact, q->exact) != 0))
        return false;
    for (size_t i = 0; i < p->n; i++)
        if (strcmp(p->stems[i], q->stems[i]) != 0)
            return false;
    return true;
}

static void mean(struct phrase *p, struct meaning m)
{
    for (size_t i = 0; i < p->n_means; i++)
        if (p->means[i].is == m.is && p->means[i].of == m.of)
            return;
    if (p->n_means < PHRASE_MEANS)
        p->means[p->n_means++] = m;
}

static void add(struct phrases *all, const struct phrase *p)
{
    size_t *bucket = bucket_of(all, p->stems[0]);
    for (size_t at = *bucket; at != SIZE_MAX; at = all->at[at].next)
        if (alike(&all->at[at], p)) {
            mean(&all->at[at], p->means[0]);
            return;
        }
    all->at[all->n] = *p;
    all->at[all->n].next = *bucket;
    *bucket = all->n++;
}

/* A word's own form means what the word means, and more; but of an aside nothing else is meant. */
static void inherit(struct phrases *all, struct phrase *p)
{
    if (!p->exact || phrase_means(p, MEAN_ASIDE))
        return;
    for (size_t i = *bucket_of(all, p->stems[0]); i != SIZE_MAX; i = all->at[i].next) {
        const struct phrase *any = &all->at[i];
        if (any->exact || any->n != 1 || strcmp(any->stems[0], p->stems[0]) != 0)
            continue;
        for (size_t m = 0; m < any->n_means; m++)
            mean(p, any->means[m]);
    }
}

const struct phrase *phrase_of_word(const struct phrases *all, const struct word *w)
{
    const struct phrase *any = NULL;
    for (size_t i = *bucket_of(all, w->stem); i != SIZE_MAX; i = all->at[i].next) {
        const struct phrase *p = &all->at[i];
        if (p->n != 1 || strcmp(p->stems[0], w->stem) != 0)
            continue;
        if (p->exact && strcmp(p->exact, w->is) == 0)
            return p;
        any = p->exact ? any : p;
    }
    return any;
}

void phrases_of(struct arena *a, const struct entries *all, struct phrases *out)
{
    /* Their words as one commentary's, a cue each. */
    struct timed_cue *cues = arena_alloc(a, (all->n + 1) * sizeof *cues);
    for (size_t i = 0; i < all->n; i++)
        cues[i] = (struct timed_cue){.text = all->at[i].text, .speaker = "", .to_us = -1};
    const struct timed t = {TIMED_STAMPS, cues, all->n};
    struct words w;
    words_of(a, &t, &w);
    *out = (struct phrases){.at = arena_alloc(a, (all->n + 1) * sizeof *out->at),
                            .buckets = arena_alloc(a, (all->n + 1) * sizeof *out->buckets),
                            .n_buckets = all->n + 1};
    for (size_t i = 0; i < out->n_buckets; i++)
        out->buckets[i] = SIZE_MAX;
    for (size_t i = 0; i < w.n;) {
        const size_t cue = w.at[i].cue;
        struct phrase p = {.means = {all->at[cue].means}, .n_means = 1};
        size_t n = 0;
        for (; i < w.n && w.at[i].cue == cue; i++, n++)
            if (n < PHRASE_WORDS)
                p.stems[p.n++] = w.at[i].stem;
        if (n == 1 && all->at[cue].text[0] == '=')
            p.exact = w.at[i - 1].is;
        if (n <= PHRASE_WORDS)
            add(out, &p);
    }
    for (size_t i = 0; i < out->n; i++)
        inherit(out, &out->at[i]);
}

/* --- found ------------------------------------------------------------------------------------- */

static bool stands(const struct phrase *p, const struct words *w, size_t at)
{
    if (at + p->n > w->n || w->at[at].cue + 1 < w->at[at + p->n - 1].cue)
        return false;
    if (p->exact && strcmp(p->exact, w->at[at].is) != 0)
        return false;
    for (size_t i = 0; i < p->n; i++)
        if (strcmp(p->stems[i], w->at[at + i].stem) != 0 ||
            (i + 1 < p->n && w->at[at + i].ends == WORD_STOP))
            return false;
    return true;
}

static const struct phrase *longest(const struct phrases *all, const struct words *w, size_t at)
{
    const struct phrase *best = NULL;
    for (size_t i = *bucket_of(all, w->at[at].stem); i != SIZE_MAX; i = all->at[i].next)
        if ((!best || all->at[i].n > best->n || (all->at[i].exact && best->n == 1)) &&
            stands(&all->at[i], w, at))
            best = &all->at[i];
    return best;
}

void lexicon_find(const struct lexicon *l, struct arena *a, const struct words *w, struct hits *out)
{
    struct hit *at = arena_alloc(a, (w->n + 1) * sizeof *at);
    struct hit *faults = arena_alloc(a, (w->n + 1) * sizeof *faults);
    *out = (struct hits){.at = at, .faults = faults};
    for (size_t i = 0; i < w->n;) {
        const struct phrase *p = longest(&l->phrases, w, i);
        if (p)
            at[out->n++] = (struct hit){p, i, p->n};
        i += p ? p->n : 1;
    }
    for (size_t i = 0; i < w->n; i++) {
        const struct phrase *p = longest(&l->faults, w, i);
        if (p)
            faults[out->n_faults++] = (struct hit){p, i, p->n};
    }
}
