#include <string.h>

#include "talk/sense.h"

static void add(struct who *who, struct draft_target target)
{
    for (size_t i = 0; i < who->n; i++)
        if (who->at[i].section == target.section &&
            (who->at[i].performer == target.performer || target.performer < 0))
            return;
    for (size_t i = 0; i < who->n; i++)
        if (who->at[i].section == target.section && who->at[i].performer < 0) {
            who->at[i] = target;
            return;
        }
    if (who->n < WHO_MOST)
        who->at[who->n++] = target;
}

static const struct hit *hit_before(const struct talk *t, size_t hit, struct span s)
{
    if (hit == 0)
        return NULL;
    const struct hit *h = &t->hits.at[hit - 1], *is = &t->hits.at[hit];
    return h->from >= s.from && h->from + h->n == is->from ? h : NULL;
}

/* 'by the flutes', 'than my trumpets': words that only join may stand between. */
static bool behind_link(const struct talk *t, size_t hit, struct span s)
{
    bool joined = false; /* 'between the trumpets and the flutes': both */
    for (const struct hit *h; (h = hit_before(t, hit, s)); hit--) {
        if (phrase_means(h->phrase, MEAN_LINK))
            return true;
        joined |= phrase_means(h->phrase, MEAN_AND) != NULL;
        if (!phrase_means(h->phrase, MEAN_JOIN) && !phrase_means(h->phrase, MEAN_ORDER) &&
            !(joined && phrase_means(h->phrase, MEAN_SECTION)))
            return false;
    }
    return false;
}

/* 'front' is a section's name and a place: only who is called so is meant by such a word. */
static bool has_another_sense(const struct phrase *p)
{
    for (size_t i = 0; i < p->n_means; i++)
        if (p->means[i].is == MEAN_PLACE)
            return true;
    return false;
}

/* 'Front, ...' and 'front you are': at the head, and spoken to. */
static bool is_called(const struct talk *t, size_t hit, struct span s)
{
    const struct hit *h = &t->hits.at[hit];
    const size_t end = h->from + h->n;
    if (h->from != s.from)
        return false;
    if (end >= s.to || t->w.at[end - 1].ends != WORD_GOES_ON)
        return true;
    return hit + 1 < t->hits.n && t->hits.at[hit + 1].from == end &&
           phrase_means(t->hits.at[hit + 1].phrase, MEAN_YOU);
}

/* 'tubas two and three', 'trumpet number 4': performers with these numbers, where there are some. */
static bool add_numbered(const struct talk *t, size_t hit, struct span s, struct who *who)
{
    const int section = phrase_means(t->hits.at[hit].phrase, MEAN_SECTION)->of;
    size_t end = t->hits.at[hit].from + t->hits.at[hit].n;
    bool any = false;
    for (size_t i = hit + 1; i < t->hits.n && t->hits.at[i].from == end && end < s.to; i++) {
        const struct phrase *p = t->hits.at[i].phrase;
        const struct meaning *m = phrase_means(p, MEAN_NUMBER);
        end += t->hits.at[i].n;
        if (!m && !phrase_means(p, MEAN_JOIN) && !phrase_means(p, MEAN_CUT))
            break;
        const bool counts = i + 1 < t->hits.n && t->hits.at[i + 1].from == end &&
                            phrase_means(t->hits.at[i + 1].phrase, MEAN_UNIT);
        int performers[2];
        const char *is = t->w.at[t->hits.at[i].from].is;
        const bool article = strcmp(is, "a") == 0 || strcmp(is, "an") == 0;
        if (!m || counts || article || m->value != (int)m->value)
            continue;
        if (show_performers_numbered(t->l->show, section, (int)m->value, performers, 2) == 1) {
            add(who, (struct draft_target){t->l->show->performers[performers[0]].section,
                                           performers[0]});
            any = true;
        }
    }
    return any;
}

static void add_section(const struct talk *t, size_t hit, struct span s, struct who *who)
{
    const struct hit *h = &t->hits.at[hit];
    const struct meaning *m = phrase_means(h->phrase, MEAN_SECTION);
    if (has_another_sense(h->phrase) && !is_called(t, hit, s))
        return;
    if (who->n == 0)
        who->first = h->from;
    if (!add_numbered(t, hit, s, who))
        add(who, (struct draft_target){m->of, -1});
}

static void add_performer(const struct talk *t, size_t hit, struct who *who)
{
    const struct phrase *p = t->hits.at[hit].phrase;
    const struct meaning *m = phrase_means(p, MEAN_PERFORMER);
    /* A name that is a common word too is a name only where nothing else is meant. */
    if (!m && p->n_means == 1)
        m = phrase_means(p, MEAN_FORENAME);
    if (!m)
        return;
    if (who->n == 0)
        who->first = t->hits.at[hit].from;
    add(who, (struct draft_target){t->l->show->performers[m->of].section, m->of});
}

/* Pass 0: who is called or spoken of; pass 1: those that are named as a place. */
static void collect(const struct talk *t, struct span s, bool places, struct who *who)
{
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++) {
        const struct phrase *p = t->hits.at[i].phrase;
        if (phrase_means(p, MEAN_SECTION)) {
            if (behind_link(t, i, s) == places)
                add_section(t, i, s, who);
        } else if (!places)
            add_performer(t, i, who);
    }
}

/* 'One trombone', 'one flag', 'one is': not 'one step', nor 'side one'. */
static bool one_of_them(const struct talk *t, struct span s)
{
    for (size_t i = hits_from(&t->hits, s.from); i < t->hits.n && t->hits.at[i].from < s.to; i++) {
        const struct hit *h = &t->hits.at[i], *next = h + 1;
        if (strcmp(t->w.at[h->from].is, "one") != 0 || h->n != 1 || i + 1 >= t->hits.n ||
            next->from != h->from + 1 || next->from >= s.to)
            continue;
        if (phrase_means(next->phrase, MEAN_SECTION) ||
            (phrase_means(next->phrase, MEAN_IDEA) && !phrase_means(next->phrase, MEAN_UNIT) &&
             !phrase_means(next->phrase, MEAN_ENGLISH)))
            return true;
    }
    return false;
}

struct who spoken_of(const struct talk *t, struct span s)
{
    struct who out = {.first = SIZE_MAX};
    collect(t, s, false, &out);
    out.one = span_means(t, s, MEAN_ONE) || one_of_them(t, s);
    out.some = span_means(t, s, MEAN_SOME);
    out.all = span_means(t, s, MEAN_ALL);
    if (out.n == 0 && !out.all) {
        collect(t, s, true, &out);
        out.place = out.n > 0;
    }
    return out;
}
