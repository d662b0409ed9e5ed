#include <string.h>

#include "talk/sense.h"

enum { PAUSE_US = 1400000, BREATH_US = 200000, TOO_WORDS = 7 };

static const struct phrase *phrase_at(const struct talk *t, size_t word)
{
    return t->hit_at[word] == SIZE_MAX ? NULL : t->hits.at[t->hit_at[word]].phrase;
}

static bool means_at(const struct talk *t, size_t word, enum mean is)
{
    const struct phrase *p = phrase_at(t, word);
    return p && phrase_means(p, is);
}

static bool section_at(const struct talk *t, size_t word)
{
    return means_at(t, word, MEAN_SECTION);
}

/* Is it where automatic captions are silent about ends? */
static bool unpunctuated(const struct talk *t, size_t word)
{
    size_t from = word > 16 ? word - 16 : 0, to = word + 16 < t->w.n ? word + 16 : t->w.n;
    for (size_t i = from; i < to; i++)
        if (t->w.at[i].ends == WORD_STOP)
            return false;
    return true;
}

static enum clause_end end_before(const struct talk *t, size_t i)
{
    const struct word *was = &t->w.at[i - 1], *is = &t->w.at[i];
    const struct timed_cue *cues = t->timed->at;
    if (strcmp(cues[was->cue].speaker, cues[is->cue].speaker) != 0 ||
        is->from_us - was->to_us > PAUSE_US)
        return CLAUSE_PAUSE;
    /* Paragraphs with a time of their own are whole, whether or not a stop ends them. */
    const bool paragraph = was->cue != is->cue && t->timed->kind == TIMED_STAMPS;
    const bool breath = was->cue != is->cue && is->from_us - was->to_us >= BREATH_US;
    return was->ends == WORD_STOP || paragraph || breath ? CLAUSE_SENTENCE : CLAUSE_GOES_ON;
}

/* "tenors and snares" stay together, and "tubas two and three". */
static bool joins_sections(const struct talk *t, size_t i)
{
    size_t next = i + 1;
    while (next < t->w.n && next < i + 3 && means_at(t, next, MEAN_JOIN) && !section_at(t, next) &&
           !means_at(t, next, MEAN_NUMBER))
        next++;
    if (next < t->w.n && means_at(t, next, MEAN_NUMBER))
        return means_at(t, i - 1, MEAN_NUMBER);
    if (next >= t->w.n || !section_at(t, next))
        return false;
    for (size_t k = 1; k <= 3 && k <= i; k++)
        if (section_at(t, i - k) && t->hits.at[t->hit_at[i - k]].n >= k)
            return true;
    return false;
}

static bool somebody_at(const struct talk *t, size_t i)
{
    return section_at(t, i) || means_at(t, i, MEAN_PERFORMER) || means_at(t, i, MEAN_FORENAME);
}

/* 'snare two': who comes behind is somebody else. */
static bool numbers_one(const struct talk *t, size_t i)
{
    return i > 0 && means_at(t, i, MEAN_NUMBER) && section_at(t, i - 1);
}

static bool cuts(const struct talk *t, size_t i)
{
    if (t->w.at[i - 1].ends == WORD_COMMA)
        return true;
    if ((means_at(t, i, MEAN_CUT) || means_at(t, i, MEAN_BUT) || means_at(t, i, MEAN_TURN)) &&
        !joins_sections(t, i))
        return true;
    return somebody_at(t, i) && unpunctuated(t, i) &&
           (numbers_one(t, i - 1) ||
            (!means_at(t, i - 1, MEAN_JOIN) && !means_at(t, i - 1, MEAN_LINK) &&
             !means_at(t, i - 1, MEAN_CUT)));
}

/* Where nobody sets stops, people's 'okay' and 'so' do. */
static bool turns_at(const struct talk *t, size_t word)
{
    return means_at(t, word, MEAN_TURN) && unpunctuated(t, word);
}

/* 'Mellos a little bit too', 'tubas again': what was said holds for them. */
static bool ends_too(const struct talk *t, const struct clause *c)
{
    const char *last = t->w.at[c->s.to - 1].is;
    const bool alone = c->s.to - c->s.from == 1;
    return (alone || (c->who.n > 0 && !c->who.place)) && c->s.to - c->s.from <= TOO_WORDS &&
           (strcmp(last, "too") == 0 || strcmp(last, "also") == 0 || strcmp(last, "again") == 0);
}

static void sense(const struct talk *t, struct clause *c)
{
    c->who = spoken_of(t, c->s);
    c->same = span_means(t, c->s, MEAN_SAME) || ends_too(t, c);
    c->aside = span_means(t, c->s, MEAN_ASIDE);
    c->story = span_means(t, c->s, MEAN_STORY);
    c->self = span_means(t, c->s, MEAN_SELF);
}

struct clause *clauses_of(struct talk *t, size_t *n)
{
    struct clause *all = arena_alloc(t->a, (t->w.n + 1) * sizeof *all);
    *n = 0;
    t->hit_at = arena_alloc(t->a, (t->w.n + 1) * sizeof *t->hit_at);
    for (size_t i = 0; i < t->w.n; i++)
        t->hit_at[i] = SIZE_MAX;
    for (size_t i = 0; i < t->hits.n; i++)
        t->hit_at[t->hits.at[i].from] = i;
    for (size_t from = 0; from < t->w.n;) {
        size_t to = from + 1;
        while (to < t->w.n && end_before(t, to) == CLAUSE_GOES_ON && !cuts(t, to))
            to++;
        struct clause *c = &all[(*n)++];
        *c = (struct clause){.s = {from, to},
                             .ends = to < t->w.n ? end_before(t, to) : CLAUSE_PAUSE};
        sense(t, c);
        c->loose = unpunctuated(t, from);
        c->sentence =
            *n == 1 ? 0 : c[-1].sentence + (c[-1].ends != CLAUSE_GOES_ON || turns_at(t, from));
        from = to;
    }
    return all;
}
