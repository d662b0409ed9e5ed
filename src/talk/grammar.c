#include "talk/grammar.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "talk/say.h"

/* How often which, roughly: from memory. */
static const double no_more_targets = 0.8, run_on = 0.01, plain = 0.7;

struct building {
    struct arena *a;
    const struct show *show;
    struct say say;
    struct grammar_word *words;
    struct grammar_arc *arcs;
    struct grammar_unheard *unheard;
    size_t n_words, n_arcs, n_unheard, cap_words, cap_arcs, cap_unheard;
    int n_states;
};

struct meaning {
    enum said says;
    int value;
};
static const struct meaning nothing = {SAID_NOTHING, 0};

static int state(struct building *b)
{
    return b->n_states++;
}

static struct grammar_arc *arc(struct building *b, int from, int to, int word, struct meaning m)
{
    b->arcs = array_grow(b->arcs, b->n_arcs, &b->cap_arcs, sizeof *b->arcs);
    struct grammar_arc *new = &b->arcs[b->n_arcs++];
    *new = (struct grammar_arc){
        .from = from, .to = to, .word = word, .says = m.says, .value = m.value};
    return new;
}

static void silent(struct building *b, int from, int to, double chance)
{
    arc(b, from, to, -1, nothing)->chance = chance;
}

/* The word's number; -1 when nobody knows how it sounds. */
static int word(struct building *b, const char *is)
{
    for (size_t i = 0; i < b->n_words; i++)
        if (strcmp(b->words[i].is, is) == 0)
            return (int)i;
    const struct sound_list l = say_word(&b->say, is);
    if (!l.n)
        return -1;
    b->words = array_grow(b->words, b->n_words, &b->cap_words, sizeof *b->words);
    b->words[b->n_words] = (struct grammar_word){is, l.at, l.n};
    return (int)b->n_words++;
}

static struct grammar_arc *find_arc(struct building *b, int from, int word, bool last)
{
    for (size_t i = 0; i < b->n_arcs; i++)
        if (b->arcs[i].from == from && b->arcs[i].word == word &&
            (b->arcs[i].says != SAID_NOTHING) == last)
            return &b->arcs[i];
    return NULL;
}

/* --- phrases: those that begin alike share their arcs up to the last word ---------------------- */

enum { PHRASE_MOST = 12 };

struct way {
    int from, to;
    double weight;
};

struct phrase {
    int words[PHRASE_MOST];
    size_t n;
    const char *unheard; /* the word that nobody knows */
};

static struct phrase phrase_of(struct building *b, const char *text)
{
    struct phrase p = {0};
    while (*text && p.n < PHRASE_MOST && !p.unheard) {
        const size_t n = strcspn(text, " ");
        const char *is = arena_strndup(b->a, text, n);
        p.words[p.n] = word(b, is);
        if (p.words[p.n++] < 0)
            p.unheard = is;
        text += n + (text[n] == ' ');
    }
    return p;
}

/* The last word's arc means `m`; a phrase that means something there already keeps its meaning. It is said
 * `weight` times as often as one of weight 1: until the chances are shared out, they are weights below 0. */
static void phrase_add(struct building *b, struct way w, const struct phrase *p, struct meaning m)
{
    int from = w.from;
    if (!p->n)
        return;
    for (size_t i = 0; i + 1 < p->n; i++) {
        struct grammar_arc *there = find_arc(b, from, p->words[i], false);
        if (!there)
            there = arc(b, from, state(b), p->words[i], nothing);
        there->chance -= w.weight;
        from = there->to;
    }
    if (!find_arc(b, from, p->words[p->n - 1], true))
        arc(b, from, w.to, p->words[p->n - 1], m)->chance = -w.weight;
}

static void say_plainly(struct building *b, struct way w, const char *text, struct meaning m)
{
    const struct phrase p = phrase_of(b, text);
    if (!p.unheard)
        phrase_add(b, w, &p, m);
}

/* One of the show's own; what cannot be heard is kept for whoever asks. */
struct own {
    struct way way;
    struct meaning means;
    bool name;
};

/* What a name and another word for it weigh: from memory. */
static const double name_weight = 2, word_weight = 1;

static void say_own(struct building *b, const struct own *o, const char *text)
{
    const struct phrase p = phrase_of(b, text);
    if (!p.unheard) {
        phrase_add(b, o->way, &p, o->means);
        return;
    }
    b->unheard = array_grow(b->unheard, b->n_unheard, &b->cap_unheard, sizeof *b->unheard);
    b->unheard[b->n_unheard++] = (struct grammar_unheard){
        text, p.unheard, o->name, o->means.says == SAID_FAULT, o->means.value};
}

static bool ends_in(const char *text, const char *end)
{
    const size_t n = strlen(text), k = strlen(end);
    return n > k && strcmp(text + n - k, end) == 0;
}

/* How much of "trumpets", "basses" is said of one; 0 where it is no plural. */
static size_t singular(const char *text)
{
    static const char *const two[] = {"sses", "xes", "shes", "ches"};
    const size_t n = strlen(text);
    for (size_t i = 0; i < sizeof two / sizeof *two; i++)
        if (ends_in(text, two[i]))
            return n - 2;
    return n > 2 && ends_in(text, "s") && !ends_in(text, "ss") ? n - 1 : 0;
}

/* Do numbers say who of it is meant? Not in the brass, where there are T3 and M3, so that nobody says 'brass
 * three', nor 'wind' of one. */
static bool numbers_tell(const struct show *show, int section)
{
    bool any = false;
    for (size_t i = 0; i < show->n_performers; i++) {
        const struct performer *p = &show->performers[i];
        int one;
        if (p->removed || p->number < 1 || !section_within(show, p->section, section))
            continue;
        any = true;
        if (show_performers_numbered(show, section, p->number, &one, 1) != 1)
            return false;
    }
    return any;
}

/* "trumpets" is said of one as "trumpet three"; a section whose name is in the singular may be said in the
 * plural, where the dictionary has that. */
static void say_other_number(struct building *b, const struct own *o, const char *text)
{
    const size_t one = singular(text);
    const char *other = one ? arena_strndup(b->a, text, one) : arena_printf(b->a, "%ss", text);
    const char *last = strrchr(other, ' ') ? strrchr(other, ' ') + 1 : other;
    const bool said =
        one ? numbers_tell(b->show, o->means.value) : o->name && say_known(&b->say, last);
    if (said)
        say_plainly(b, o->way, other, o->means);
}

static const char *next_word(struct building *b, const char **words)
{
    const size_t n = strcspn(*words, ";");
    const char *phrase = say_phrase(b->a, *words, n);
    *words += n + ((*words)[n] == ';');
    return phrase;
}

/* --- sections and who of them ------------------------------------------------------------------ */

static bool numbered(const struct show *show, int section, int number)
{
    int one;
    return show_performers_numbered(show, section, number, &one, 1) == 1;
}

/* From `named`, where the section was said, over its numbers to `done`. */
static void add_numbers(struct building *b, int section, int named, int done)
{
    int more = -1, after = -1;
    const bool tell = numbers_tell(b->show, section);
    for (int number = 1; tell && number <= 99; number++) {
        if (!numbered(b->show, section, number))
            continue;
        if (more < 0) {
            more = state(b);
            after = state(b);
            silent(b, named, more, 0.5);
            silent(b, after, done, 0.5);
            silent(b, after, more, 0.1);
            say_plainly(b, (struct way){after, more, 1}, "and", nothing);
            say_plainly(b, (struct way){after, more, 1}, "through",
                        (struct meaning){SAID_THROUGH, 0});
        }
        say_plainly(b, (struct way){more, after, 1}, say_number(b->a, number),
                    (struct meaning){SAID_NUMBER, number});
    }
    silent(b, named, done, more < 0 ? 1 : 0.5);
}

/* 0: the name, 1: the other words, 2: what of them is said of one instead of many. */
static void say_section(struct building *b, int section, struct way w, int pass)
{
    const struct section *s = &b->show->sections[section];
    const char *name = say_phrase(b->a, s->name, strlen(s->name));
    const char *words = s->words ? s->words : "";
    struct own o = {w, {SAID_SECTION, section}, pass != 1};
    if (pass == 0)
        o.way.weight = name_weight;
    if (pass == 0)
        say_own(b, &o, name);
    if (pass == 2)
        say_other_number(b, &o, name);
    o.name = false;
    while (pass == 1 && *words)
        say_own(b, &o, next_word(b, &words));
    while (pass == 2 && *words)
        say_other_number(b, &o, next_word(b, &words));
}

/* Names first: what one section is called no other's words take from it. */
static void add_sections(struct building *b, int from, int done)
{
    const struct show *show = b->show;
    int *named = arena_alloc(b->a, (show->n_sections + 1) * sizeof *named);
    for (int pass = 0; pass < 3; pass++)
        for (size_t i = 0; i < show->n_sections; i++) {
            const struct section *s = &show->sections[i];
            if (s->removed)
                continue;
            if (pass == 0)
                named[i] = state(b);
            say_section(b, (int)i, (struct way){from, named[i], word_weight}, pass);
            if (pass == 2)
                add_numbers(b, (int)i, named[i], done);
        }
}

/* --- faults ------------------------------------------------------------------------------------ */

static void add_faults(struct building *b, int from, int to)
{
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < b->show->n_faults; i++) {
            const struct fault *f = &b->show->faults[i];
            if (f->removed)
                continue;
            const struct own o = {
                {from, to, pass == 0 ? name_weight : word_weight}, {SAID_FAULT, (int)i}, pass == 0};
            const char *words = f->words ? f->words : "";
            if (pass == 0)
                say_own(b, &o, say_phrase(b->a, f->name, strlen(f->name)));
            while (pass == 1 && *words)
                say_own(b, &o, next_word(b, &words));
        }
}

static void add_manners(struct building *b, int from, int to)
{
    static const char *const praise[] = {"good", "great", "nice", "praise"};
    static const struct {
        const char *is;
        int severity;
    } severe[] = {{"small", 1}, {"minor", 1}, {"serious", 3}, {"major", 3}};
    for (size_t i = 0; i < sizeof praise / sizeof *praise; i++)
        say_plainly(b, (struct way){from, to, 1}, praise[i], (struct meaning){SAID_PRAISE, 0});
    for (size_t i = 0; i < sizeof severe / sizeof *severe; i++)
        say_plainly(b, (struct way){from, to, 1}, severe[i].is,
                    (struct meaning){SAID_SEVERITY, severe[i].severity});
    silent(b, from, to, plain);
}

/* --- the net ----------------------------------------------------------------------------------- */

/* In the order in which they were made among those that leave one state. */
static void group_by_from(struct building *b)
{
    size_t *first = xcalloc((size_t)b->n_states + 1, sizeof *first);
    struct grammar_arc *out = xcalloc(b->n_arcs + 1, sizeof *out);
    for (size_t i = 0; i < b->n_arcs; i++)
        first[b->arcs[i].from + 1]++;
    for (int i = 0; i < b->n_states; i++)
        first[i + 1] += first[i];
    for (size_t i = 0; i < b->n_arcs; i++)
        out[first[b->arcs[i].from]++] = b->arcs[i];
    free(first);
    free(b->arcs);
    b->arcs = out;
}

/* What no chance was given shares what is left of 1 by its weight. */
static void share_chances(struct grammar_arc *arcs, size_t n)
{
    for (size_t i = 0, k; i < n; i = k) {
        double left = 1, weights = 0;
        for (k = i; k < n && arcs[k].from == arcs[i].from; k++) {
            left -= fmax(arcs[k].chance, 0);
            weights -= fmin(arcs[k].chance, 0);
        }
        for (size_t j = i; j < k; j++)
            if (arcs[j].chance < 0)
                arcs[j].chance *= -left / weights;
    }
}

static void take_says(struct building *b)
{
    for (size_t i = 0; i < b->show->n_sections; i++)
        if (!b->show->sections[i].removed)
            say_add(&b->say,
                    say_phrase(b->a, b->show->sections[i].name, strlen(b->show->sections[i].name)),
                    b->show->sections[i].say);
    for (size_t i = 0; i < b->show->n_faults; i++)
        if (!b->show->faults[i].removed)
            say_add(&b->say,
                    say_phrase(b->a, b->show->faults[i].name, strlen(b->show->faults[i].name)),
                    b->show->faults[i].say);
}

static void hand_out(struct building *b, struct grammar *out)
{
    group_by_from(b);
    share_chances(b->arcs, b->n_arcs);
    out->n_words = b->n_words;
    out->n_arcs = b->n_arcs;
    out->n_unheard = b->n_unheard;
    out->n_states = b->n_states;
    out->words = arena_take(b->a, b->words, b->n_words * sizeof *b->words);
    out->arcs = arena_take(b->a, b->arcs, b->n_arcs * sizeof *b->arcs);
    out->unheard = arena_take(b->a, b->unheard, b->n_unheard * sizeof *b->unheard);
    say_free(&b->say);
}

void grammar_of(struct arena *a, const struct show *show, const struct sounds *dictionary,
                struct grammar *out)
{
    struct building b = {.a = a, .show = show, .say = {.a = a, .dictionary = dictionary}};
    take_says(&b);
    const int targets = state(&b), named = state(&b), target_said = state(&b), manner = state(&b),
              fault = state(&b), end = state(&b);
    *out = (struct grammar){.start = targets, .end = end};
    silent(&b, targets, named, plain);
    say_plainly(&b, (struct way){targets, named, 1}, "the", nothing);
    add_sections(&b, named, target_said);
    silent(&b, target_said, manner, no_more_targets);
    say_plainly(&b, (struct way){target_said, targets, 1}, "and", nothing);
    silent(&b, target_said, targets, run_on);
    add_manners(&b, manner, fault);
    add_faults(&b, fault, end);
    hand_out(&b, out);
}
