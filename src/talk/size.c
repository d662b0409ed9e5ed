#include <string.h>

#include "talk/sense.h"

/* More than that is how long a move is, not how far off it was. */
static const double most_of[] = {0, 7, 10, 90};

struct number {
    double value;
    size_t from, to; /* hits */
};

static bool follows(const struct talk *t, size_t hit, struct span s)
{
    return hit < t->hits.n && t->hits.at[hit].from < s.to &&
           t->hits.at[hit].from - (t->hits.at[hit - 1].from + t->hits.at[hit - 1].n) <= 1;
}

/* "a" counts as one where nothing else is counted. */
static bool is_a(const struct talk *t, size_t hit)
{
    const char *is = t->w.at[t->hits.at[hit].from].is;
    return strcmp(is, "a") == 0 || strcmp(is, "an") == 0 || strcmp(is, "another") == 0;
}

/* "four or five", "one and a half", "half a", "two": the number that begins there. */
static bool number_at(const struct talk *t, size_t hit, struct span s, struct number *out)
{
    const struct meaning *m = phrase_means(t->hits.at[hit].phrase, MEAN_NUMBER);
    if (!m)
        return false;
    *out = (struct number){m->value, hit, hit + 1};
    bool joined = false, only_a = is_a(t, hit);
    while (follows(t, out->to, s)) {
        const struct phrase *p = t->hits.at[out->to].phrase;
        const struct meaning *next = phrase_means(p, MEAN_NUMBER);
        if (next && next->value < 1 && out->value >= 1)
            out->value = only_a ? next->value : out->value + next->value;
        else if (next && joined && next->value > out->value && !is_a(t, hit))
            out->value = (out->value + next->value) / 2; /* four or five, four to five */
        else if (next)
            out->value = next->value; /* a good ten; four, four counts */
        only_a &= !next;
        joined |= !next && phrase_means(p, MEAN_CUT);
        if (!next && !(phrase_means(p, MEAN_JOIN) || phrase_means(p, MEAN_CUT) ||
                       phrase_means(p, MEAN_FILLER) || phrase_means(p, MEAN_MILD) ||
                       phrase_means(p, MEAN_STRONG)))
            break;
        out->to++;
    }
    return true;
}

/* 'the first four steps', 'on count three', 'every eight counts' are no sizes. */
static bool is_place(const struct talk *t, size_t hit, struct span s)
{
    if (hit == 0 || t->hits.at[hit - 1].from < s.from)
        return false;
    const struct hit *h = &t->hits.at[hit - 1];
    return h->from + h->n == t->hits.at[hit].from && phrase_means(h->phrase, MEAN_ORDER);
}

bool size_of(const struct talk *t, struct span s, double *value, enum draft_unit *unit)
{
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++) {
        struct number n;
        if (!number_at(t, i, s, &n))
            continue;
        const struct meaning *m =
            follows(t, n.to, s) ? phrase_means(t->hits.at[n.to].phrase, MEAN_UNIT) : NULL;
        if (!m || is_place(t, i, s))
            continue;
        double v = n.value;
        /* "a count and a half" */
        struct number half;
        if (n.to + 1 < t->hits.n && follows(t, n.to + 1, s))
            for (size_t k = n.to + 1; k <= n.to + 2 && k < t->hits.n && follows(t, k, s); k++)
                if (number_at(t, k, s, &half) && half.value < 1) {
                    v += half.value;
                    break;
                }
        v *= m->value;
        if (v <= 0 || v > most_of[m->of])
            continue;
        *value = v;
        *unit = (enum draft_unit)m->of;
        return true;
    }
    return false;
}
