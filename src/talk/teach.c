/* The words of one correction that could be taught. */
#include <string.h>

#include "talk/examples.h"
#include "talk/teach_inner.h"

enum { WORDS_MOST = 3, LETTERS_LEAST = 3 };
/* What an example says of a fault is worth a lesson from there on; a word said in more examples than
 * that is a common one. */
static const double worth_least = 1.0;
enum { RARE_EXAMPLES = 3 };

/* The lower the likelier. */
enum { RANK_NEW = 0, RANK_SPOKE = 100, AFTER_OTHERS = 20, NOT_BEHIND_THE = 10 };

/* Where a section would be called. */
enum call { CALL_NONE, CALL_BEHIND_THE, CALL_HEAD, CALL_ALONE };

struct quoted_word {
    const struct hit *hit; /* of the lexicon's words, NULL: none */
    bool of_fault;         /* within a fault's own name or words */
    const char *text;      /* as it would be taught */
    bool plain;            /* letters alone, and no name of somebody */
    bool rare;             /* no table knows it, or hardly */
    bool unheard;          /* not even examples do */
    double spoke;          /* for the wrong fault */
};

struct looking {
    const struct lexicon *l;
    const struct correction *c;
    size_t number;
    struct teachables *out;
    struct words w;
    struct quoted_word *q;
    bool sections_own; /* the quote names a section or everybody */
};

/* --- the words of the quote --------------------------------------------------------------------- */

static bool is_small(char c)
{
    return (c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80;
}

/* "plumbing's" is taught as "plumbing". */
static const char *taught_as(struct arena *a, const char *word)
{
    const size_t n = strlen(word);
    return n > 2 && strcmp(word + n - 2, "'s") == 0 ? arena_strndup(a, word, n - 2) : word;
}

/* A capital letter within a sentence is somebody's name. */
static bool is_plain(const struct looking *k, size_t i, const char *text)
{
    const struct word *w = &k->w.at[i];
    const char first = k->c->quote[w->at];
    const bool begins = i == 0 || k->w.at[i - 1].ends == WORD_STOP;
    if (strlen(text) < LETTERS_LEAST || (first >= 'A' && first <= 'Z' && !begins))
        return false;
    for (const char *p = text; *p; p++)
        if (!is_small(*p))
            return false;
    return true;
}

/* Of a word that only examples know, or nobody. */
static void ask_examples(struct looking *k, const struct uses *uses)
{
    const struct examples *x = &k->l->examples;
    for (size_t i = 0; i < k->w.n; i++)
        k->q[i].rare = k->q[i].unheard = !k->q[i].hit && !k->q[i].of_fault;
    for (size_t i = 0; i < uses->n; i++) {
        const struct feature *f = &x->at[uses->at[i].feature];
        struct quoted_word *q = &k->q[uses->at[i].word];
        q->unheard = false;
        q->rare &= f->n_remarks + f->n_talk <= RARE_EXAMPLES;
        for (const struct worth *w = f->of; w && k->c->heard_fault >= 0; w = w->next)
            if (w->fault == k->c->heard_fault && uses->at[i].topical * w->value > q->spoke)
                q->spoke = uses->at[i].topical * w->value;
    }
}

static void ask_lexicon(struct looking *k, const struct hits *hits)
{
    for (size_t i = 0; i < hits->n; i++) {
        const struct hit *h = &hits->at[i];
        k->sections_own |=
            phrase_means(h->phrase, MEAN_SECTION) || phrase_means(h->phrase, MEAN_ALL);
        for (size_t w = h->from; w < h->from + h->n; w++)
            k->q[w].hit = h;
    }
    for (size_t i = 0; i < hits->n_faults; i++)
        for (size_t w = 0; w < hits->faults[i].n; w++)
            k->q[hits->faults[i].from + w].of_fault = true;
}

/* Signs of the wrong fault speak for it too. */
static void ask_signs(struct looking *k)
{
    const struct lexicon *l = k->l;
    for (size_t i = 0; i < k->w.n; i++) {
        const struct phrase *p = k->q[i].hit ? k->q[i].hit->phrase : NULL;
        for (size_t m = 0; p && m < p->n_means; m++)
            for (size_t s = 0; s < l->n_signs && p->means[m].is == MEAN_IDEA; s++)
                for (size_t j = 0; j < l->signs[s].n; j++)
                    if (l->signs[s].fault == k->c->heard_fault &&
                        l->signs[s].ideas[j] == p->means[m].of && k->q[i].spoke < worth_least)
                        k->q[i].spoke = worth_least;
    }
}

static void read_quote(struct looking *k)
{
    struct arena *a = k->out->a;
    const struct timed_cue cue = {.text = k->c->quote, .speaker = ""};
    const struct timed t = {TIMED_STAMPS, &cue, 1};
    struct hits hits;
    struct uses uses;
    words_of(a, &t, &k->w);
    lexicon_find(k->l, a, &k->w, &hits);
    examples_find(k->l, a, &k->w, &hits, &uses);
    k->q = arena_alloc(a, (k->w.n + 1) * sizeof *k->q);
    ask_lexicon(k, &hits);
    ask_examples(k, &uses);
    ask_signs(k);
    for (size_t i = 0; i < k->w.n; i++) {
        k->q[i].text = taught_as(a, k->w.at[i].is);
        k->q[i].plain = is_plain(k, i, k->q[i].text);
    }
}

/* --- what may be taught ------------------------------------------------------------------------- */

static bool is_new(const struct quoted_word *q)
{
    return q->plain && q->unheard;
}

/* Words that join, praise or blame, and who is spoken of, are no fault's; nor is a common word of which
 * no table says what it speaks of. */
static bool speaks(const struct quoted_word *q)
{
    if (!q->plain || !q->hit)
        return q->plain && q->rare;
    const struct phrase *p = q->hit->phrase;
    bool idea = false;
    for (size_t i = 0; i < p->n_means; i++) {
        const enum mean is = p->means[i].is;
        idea |= is == MEAN_IDEA;
        if (is != MEAN_IDEA && is != MEAN_ENGLISH && is != MEAN_PLACE)
            return false;
    }
    return idea;
}

static bool has_letters_of_adverb(const char *text)
{
    const size_t n = strlen(text);
    return n > 4 && strcmp(text + n - 2, "ly") == 0;
}

static const char *joined(const struct looking *k, size_t from, size_t to, bool stems)
{
    const char *out = "";
    for (size_t i = from; i < to; i++)
        out = arena_printf(k->out->a, "%s%s%s", out, *out ? " " : "",
                           stems ? k->w.at[i].stem : k->q[i].text);
    return out;
}

/* Behind 'the' and its like, which say that a thing follows. */
static bool behind_the(const struct looking *k, size_t at, bool yours)
{
    if (at == 0 || k->w.at[at - 1].ends != WORD_GOES_ON || !k->q[at - 1].hit)
        return false;
    const struct phrase *p = k->q[at - 1].hit->phrase;
    return phrase_means(p, MEAN_JOIN) && !phrase_means(p, MEAN_AND) &&
           (yours || !phrase_means(p, MEAN_YOU));
}

/* Is the phrase, as it stands, what a table calls something? */
static bool is_taken(const struct looking *k, size_t from, size_t to)
{
    const struct words part = {k->w.at + from, to - from};
    struct hits hits;
    lexicon_find(k->l, k->out->a, &part, &hits);
    for (size_t i = 0; i < hits.n_faults; i++) {
        const struct phrase *p = hits.faults[i].phrase;
        if (p->n == part.n)
            return true;
        for (size_t m = 0; m < p->n_means; m++)
            if (p->means[m].of == k->c->fault)
                return true;
    }
    return false;
}

static void offer(struct looking *k, size_t from, size_t to, const struct teachable *what)
{
    struct teachables *o = k->out;
    o->at = arena_grow(o->a, o->at, o->n, &o->cap, sizeof *o->at);
    struct teachable *t = &o->at[o->n++];
    *t = *what;
    t->words = joined(k, from, to, false);
    t->stems = joined(k, from, to, true);
    t->correction = k->number;
    t->n = to - from;
}

/* --- of a fault --------------------------------------------------------------------------------- */

static void offer_fault(struct looking *k, size_t from, size_t to, int rank)
{
    if (is_taken(k, from, to) || !lexicon_says(k->l, k->out->a, joined(k, from, to, false)))
        return;
    if (has_letters_of_adverb(k->q[to - 1].text))
        rank += AFTER_OTHERS;
    if (!behind_the(k, from, true))
        rank += NOT_BEHIND_THE;
    offer(k, from, to, &(struct teachable){false, k->c->fault, .rank = rank});
}

static bool goes_on(const struct looking *k, size_t at)
{
    return at + 1 < k->w.n && k->w.at[at].ends == WORD_GOES_ON;
}

/* The run whole, and its words for other corrections to agree with. */
static bool offer_new(struct looking *k, const bool *of_section)
{
    bool any = false;
    for (size_t from = 0, to; from < k->w.n; from = to) {
        for (to = from; to < k->w.n && is_new(&k->q[to]) && !of_section[to] &&
                        (to == from || k->w.at[to - 1].ends == WORD_GOES_ON);
             to++)
            offer_fault(k, to, to + 1, RANK_NEW);
        any |= to > from;
        if (to - from > 1 && to - from <= WORDS_MOST)
            offer_fault(k, from, to, RANK_NEW);
        to += to == from;
    }
    return any;
}

/* One common word alone says too little. */
static bool says_enough(const struct looking *k, size_t from, size_t to)
{
    bool spoke = false, common = true;
    for (size_t i = from; i < to; i++) {
        spoke |=
            k->q[i].spoke >= worth_least || (k->c->heard_fault < 0 && k->q[i].rare && !k->q[i].hit);
        common &= k->q[i].hit && phrase_means(k->q[i].hit->phrase, MEAN_ENGLISH);
    }
    return spoke && (to - from > 1 || !common);
}

static void offer_spoke(struct looking *k, const bool *of_section)
{
    for (size_t from = 0; from < k->w.n; from++)
        for (size_t to = from + 1; to <= k->w.n && to - from <= WORDS_MOST; to++) {
            if (!speaks(&k->q[to - 1]) || of_section[to - 1])
                break;
            if (says_enough(k, from, to))
                offer_fault(k, from, to, RANK_SPOKE);
            if (!goes_on(k, to - 1))
                break;
        }
}

/* --- of a section ------------------------------------------------------------------------------- */

/* 'Hey', 'okay', 'my', 'the': what may stand before who is called. */
static bool leads(const struct looking *k, size_t at)
{
    static const enum mean may[] = {MEAN_JOIN, MEAN_AND, MEAN_TURN, MEAN_CUT, MEAN_FILLER};
    const struct hit *h = k->q[at].hit;
    if (!h || phrase_means(h->phrase, MEAN_YOU))
        return false;
    for (size_t i = 0; i < sizeof may / sizeof *may; i++)
        if (phrase_means(h->phrase, may[i]))
            return true;
    return false;
}

static bool is_head(const struct looking *k, size_t at)
{
    while (at > 0 && k->w.at[at - 1].ends == WORD_GOES_ON && leads(k, at - 1))
        at--;
    return at == 0 || k->w.at[at - 1].ends != WORD_GOES_ON;
}

static enum call called(const struct looking *k, size_t from, size_t to)
{
    const bool ends = to == k->w.n || k->w.at[to - 1].ends != WORD_GOES_ON;
    const bool head = is_head(k, from);
    if (head && ends)
        return CALL_ALONE;
    if (head || (ends && to < k->w.n))
        return CALL_HEAD;
    return behind_the(k, from, false) ? CALL_BEHIND_THE : CALL_NONE;
}

/* The only section that is meant now and was not heard; -1: none, or several. */
static int new_section(const struct correction *c)
{
    int out = -1;
    for (size_t i = 0; i < c->n_now; i++) {
        bool heard = false;
        for (size_t k = 0; k < c->n_heard; k++)
            heard |= c->heard[k].section == c->now[i].section;
        if (heard)
            continue;
        if (c->now[i].performer >= 0 || out >= 0)
            return -1;
        out = c->now[i].section;
    }
    return out;
}

/* Marks the words that call the section, which are no fault's then. */
static void offer_section(struct looking *k, int section, bool *taken)
{
    const bool fault_too = k->c->fault >= 0 && k->c->fault != k->c->heard_fault;
    for (size_t from = 0, to; from < k->w.n; from = to) {
        for (to = from; to < k->w.n && is_new(&k->q[to]) &&
                        (to == from || k->w.at[to - 1].ends == WORD_GOES_ON);
             to++)
            ;
        const enum call call =
            to > from && to - from <= WORDS_MOST ? called(k, from, to) : CALL_NONE;
        if (call > (fault_too ? CALL_BEHIND_THE : CALL_NONE) && !is_taken(k, from, to)) {
            offer(k, from, to, &(struct teachable){true, section, .rank = CALL_ALONE - call});
            memset(taken + from, 1, to - from);
        }
        to += to == from;
    }
}

/* Who is called alone is a section that somebody meant, though it was found in another way. */
static void pass_called(struct looking *k, bool *taken)
{
    for (size_t i = 0; i < k->w.n && !k->sections_own; i++)
        taken[i] |= is_new(&k->q[i]) && called(k, i, i + 1) == CALL_ALONE;
}

void teach_look(const struct lexicon *l, const struct correction *c, size_t number,
                struct teachables *out)
{
    struct looking k = {.l = l, .c = c, .number = number, .out = out};
    const int section = new_section(c);
    const bool fault = c->fault >= 0 && c->fault != c->heard_fault;
    if (!fault && section < 0)
        return;
    read_quote(&k);
    bool *taken = arena_alloc(out->a, (k.w.n + 1) * sizeof *taken);
    if (section >= 0)
        offer_section(&k, section, taken);
    else
        pass_called(&k, taken);
    if (fault && !offer_new(&k, taken))
        offer_spoke(&k, taken);
}
