#include "talk/sense.h"

#include <string.h>

static size_t first_from(const struct hit *at, size_t n, size_t word)
{
    size_t low = 0;
    while (low < n) {
        const size_t mid = low + (n - low) / 2;
        if (at[mid].from < word)
            low = mid + 1;
        else
            n = mid;
    }
    return low;
}

size_t hits_from(const struct hits *h, size_t word)
{
    return first_from(h->at, h->n, word);
}

size_t fault_hits_from(const struct hits *h, size_t word)
{
    return first_from(h->faults, h->n_faults, word);
}

const struct meaning *span_means(const struct talk *t, struct span s, enum mean is)
{
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++) {
        const struct meaning *m = phrase_means(t->hits.at[i].phrase, is);
        if (m)
            return m;
    }
    return NULL;
}

static bool begins_so(const struct talk *t, struct span s, const char *head)
{
    for (size_t i = s.from; i < s.to; i++)
        if (strncmp(t->w.at[i].is, head, strlen(head)) == 0)
            return true;
    return false;
}

bool speaks_to(const struct talk *t, struct span s)
{
    return span_means(t, s, MEAN_YOU) || begins_so(t, s, "you");
}

bool speaks_of(const struct talk *t, struct span s)
{
    return span_means(t, s, MEAN_THEY) || begins_so(t, s, "they") || begins_so(t, s, "their");
}

const char *said(const struct talk *t, size_t from, size_t n)
{
    const char *out = "";
    for (size_t i = from; i < from + n; i++)
        out = arena_printf(t->a, "%s%s%s", out, *out ? " " : "", t->w.at[i].is);
    return out;
}
