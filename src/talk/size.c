#include <string.h>

#include "talk/sense.h"

/* More than that is how long a move is, not how far off it was. */
static const double most_of[] = {0, 7, 10, 90};

/* Numbers and units are looked for word by word: 'two steps' is one though 'steps off' is a phrase. */
struct counted {
    const struct phrase *phrase; /* NULL: it means nothing */
    size_t from, n;              /* words */
};

static struct counted at_word(const struct talk *t, size_t word)
{
    static const enum mean whole[] = {MEAN_NUMBER, MEAN_UNIT, MEAN_ORDER};
    const size_t hit = t->hit_at[word];
    if (hit != SIZE_MAX)
        for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
            if (phrase_means(t->hits.at[hit].phrase, whole[i]))
                return (struct counted){t->hits.at[hit].phrase, word, t->hits.at[hit].n};
    return (struct counted){phrase_of_word(&t->l->phrases, &t->w.at[word]), word, 1};
}

/* What is counted next: the word there, or, where that means nothing, the one behind it. */
static bool next(const struct talk *t, size_t word, struct span s, struct counted *out)
{
    for (size_t last = word + 1; word <= last && word < s.to; word++) {
        if (word > s.from && t->w.at[word - 1].ends == WORD_STOP)
            return false;
        *out = at_word(t, word);
        if (out->phrase)
            return true;
    }
    return false;
}

static const struct meaning *means(const struct counted *c, enum mean is)
{
    return c->phrase ? phrase_means(c->phrase, is) : NULL;
}

/* "a" counts as one where nothing else is counted. */
static bool is_a(const struct talk *t, const struct counted *c)
{
    const char *is = t->w.at[c->from].is;
    return c->n == 1 &&
           (strcmp(is, "a") == 0 || strcmp(is, "an") == 0 || strcmp(is, "another") == 0);
}

static bool joins(const struct counted *c)
{
    static const enum mean all[] = {MEAN_JOIN, MEAN_CUT, MEAN_FILLER, MEAN_MILD, MEAN_STRONG};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        if (means(c, all[i]))
            return true;
    return false;
}

struct number {
    double value;
    size_t to; /* the word behind it */
};

/* "four or five", "one and a half", "half a", "two": the number that begins there. */
static bool number_at(const struct talk *t, size_t word, struct span s, struct number *out)
{
    struct counted c = at_word(t, word);
    const struct meaning *m = means(&c, MEAN_NUMBER);
    if (!m)
        return false;
    *out = (struct number){m->value, word + c.n};
    const bool begins_with_a = is_a(t, &c);
    bool joined = false, only_a = begins_with_a;
    while (next(t, out->to, s, &c)) {
        const struct meaning *more = means(&c, MEAN_NUMBER);
        if (more && more->value < 1 && out->value >= 1)
            out->value = only_a ? more->value : out->value + more->value;
        else if (more && joined && more->value > out->value && !begins_with_a)
            out->value = (out->value + more->value) / 2; /* four or five, four to five */
        else if (more && !(out->value < 1 && is_a(t, &c)))
            out->value = more->value; /* a good ten; four, four counts */
        only_a &= !more;
        joined |= !more && means(&c, MEAN_CUT);
        if (!more && !joins(&c))
            break;
        out->to = c.from + c.n;
    }
    return true;
}

/* 'the first four steps', 'on count three', 'every eight counts' are no sizes. */
static bool is_place(const struct talk *t, size_t word, struct span s)
{
    const struct hits *h = &t->hits;
    const size_t hit = hits_from(h, word);
    return word > s.from && hit > 0 && h->at[hit - 1].from >= s.from &&
           h->at[hit - 1].from + h->at[hit - 1].n == word &&
           phrase_means(h->at[hit - 1].phrase, MEAN_ORDER);
}

/* "a count and a half", "a step or two": the rest, behind the unit. */
static double rest(const struct talk *t, size_t word, struct span s, double value)
{
    struct counted c;
    struct number more;
    for (int joined = 0; joined < 2 && next(t, word, s, &c) && c.from == word; joined++) {
        if (number_at(t, word, s, &more)) {
            if (more.value < 1)
                return value + more.value;
            return joined && more.value == value + 1 ? value + 0.5 : value;
        }
        if (!means(&c, MEAN_CUT) && !means(&c, MEAN_JOIN))
            break;
        word += c.n;
    }
    return value;
}

bool size_of(const struct talk *t, struct span s, double *value, enum draft_unit *unit)
{
    struct number n;
    for (size_t i = s.from; i < s.to; i++) {
        const size_t at = i;
        struct counted c;
        if (!number_at(t, at, s, &n))
            continue;
        i = n.to - 1; /* what is in it is no number of its own */
        const struct meaning *m = next(t, n.to, s, &c) ? means(&c, MEAN_UNIT) : NULL;
        if (!m || is_place(t, at, s))
            continue;
        const double v = rest(t, c.from + c.n, s, n.value) * m->value;
        if (v <= 0 || v > most_of[m->of])
            continue;
        *value = v;
        *unit = (enum draft_unit)m->of;
        return true;
    }
    return false;
}
