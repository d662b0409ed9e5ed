#include "talk/lexicon.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "base/utf8.h"
#include "talk/draft.h"
#include "talk/examples.h"
#include "talk/lexicon_inner.h"

/* The first of enum mean are those that the table may say. */
const char *const talk_means[] = {
    "idea",   "section", "fault",  "good", "bad",    "not",     "wish",  "do",   "ban",
    "unsure", "one",     "some",   "all",  "you",    "they",    "same",  "mild", "strong",
    "but",    "cut",     "turn",   "self", "filler", "link",    "place", "and",  "join",
    "aside",  "story",   "number", "unit", "order",  "english", NULL,
};

enum { WORDS, IS, OF, LEANS };
const struct table_column talk_words_columns[] = {
    {"words", true, "what is said, all forms of a word are one; alternatives with ;", NULL, NULL},
    {"means", true,
     "idea, section, fault, good, bad, not, wish, do, ban, unsure, one, some, all, you, they, "
     "same, mild, strong, but, cut, turn, self, filler, link, place, and, join, aside, story, "
     "number, "
     "unit, "
     "order or "
     "english",
     NULL, NULL},
    {"of", false, "which idea, section, fault, number or unit", NULL, NULL},
    {"leans", false, "good or bad, where saying it praises or finds fault", NULL, NULL},
    {NULL, false, NULL, NULL, NULL},
};

enum { FAULT, SIGNS, OF_SECTION };
const struct table_column talk_signs_columns[] = {
    {"fault", true, "a fault's name; one that the show lacks is passed over", NULL, NULL},
    {"signs", true, "ideas that together speak of it, with +; alternatives with ;", NULL, NULL},
    {"section", false, "the section whose work it is, where nobody is named", NULL, NULL},
    {NULL, false, NULL, NULL, NULL},
};

enum { SAID, OF_FAULT, PRAISE };
const struct table_column talk_examples_columns[] = {
    {"said", true, "a sentence as somebody said it", NULL, NULL},
    {"fault", true, "the fault it speaks of; - where it is no remark; empty where none fits", NULL,
     NULL},
    {"praise", false, "yes where it praises", NULL, NULL},
    {NULL, false, NULL, NULL, NULL},
};

struct own_idea {
    int idea;
    double worth;
};

struct making {
    struct arena *a;
    struct lexicon *l;
    struct entries words, faults;
    size_t cap_ideas, cap_signs, cap_examples;
    struct example *examples;
    size_t n_examples;
    struct fault_list shipped;
    struct own_idea *own;
    size_t n_own, cap_own;
};

static int idea(struct making *m, const char *name, bool make)
{
    struct lexicon *l = m->l;
    for (size_t i = 0; i < l->n_ideas; i++)
        if (strcmp(l->ideas[i], name) == 0)
            return (int)i;
    if (!make)
        return -1;
    l->ideas = arena_grow(m->a, l->ideas, l->n_ideas, &m->cap_ideas, sizeof *l->ideas);
    l->ideas[l->n_ideas] = arena_strdup(m->a, name);
    return (int)l->n_ideas++;
}

/* --- the table of words ------------------------------------------------------------------------ */

static const struct unit {
    const char *name;
    enum draft_unit unit;
    double value;
} units[] = {
    {"counts", DRAFT_COUNTS, 1},
    {"steps", DRAFT_STEPS, 1},
    {"yards", DRAFT_STEPS, 1.6}, /* eight steps to five yards */
    {"degrees", DRAFT_DEGREES, 1},
};

static bool read_unit(const char *of, struct meaning *out)
{
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcmp(of, units[i].name) == 0) {
            out->of = (int)units[i].unit;
            out->value = units[i].value;
            return true;
        }
    return false;
}

static bool read_number(const char *of, struct meaning *out)
{
    char *end;
    out->value = strtod(of, &end);
    return *of && !*end && out->value >= 0 && out->value <= 1000;
}

/* A section or a fault that the show lacks is passed over: out->of is -1. */
static bool read_of(struct making *m, const struct table_row *row, struct meaning *out,
                    struct err *e)
{
    const char *of = row->cell[OF];
    const bool asks = out->is == MEAN_IDEA || out->is == MEAN_SECTION || out->is == MEAN_FAULT;
    if (asks && !*of)
        return table_error(row, OF, e, "the cell is empty; name which %s", talk_means[out->is]);
    if (out->is == MEAN_IDEA)
        out->of = idea(m, of, true);
    else if (out->is == MEAN_SECTION)
        out->of = show_section(m->l->show, of);
    else if (out->is == MEAN_FAULT)
        out->of = show_fault(m->l->show, of);
    else if (out->is == MEAN_UNIT && !read_unit(of, out))
        return table_error(row, OF, e, "'%s' is no unit; counts, steps, yards or degrees", of);
    else if (out->is == MEAN_NUMBER && !read_number(of, out))
        return table_error(row, OF, e, "'%s' is no number from 0 to 1000", of);
    return true;
}

static bool read_means(struct making *m, const struct table_row *row, struct meaning *out,
                       struct err *e)
{
    struct near near = {.word = row->cell[IS]};
    size_t i = 0;
    while (talk_means[i] && strcmp(talk_means[i], row->cell[IS]) != 0)
        near_offer(&near, talk_means[i++]);
    if (!talk_means[i])
        return table_error(row, IS, e, "'%s' is no meaning%s", row->cell[IS],
                           near_said(&near, "; 'idea' or 'good', say").text);
    out->is = (enum mean)i;
    const char *leans = row->cell[LEANS];
    if (*leans && strcmp(leans, "good") != 0 && strcmp(leans, "bad") != 0)
        return table_error(row, LEANS, e, "'%s' is neither good nor bad", leans);
    out->leans = out->is == MEAN_GOOD ? 1 : out->is == MEAN_BAD ? -1 : 0;
    if (*leans)
        out->leans = *leans == 'g' ? 1 : -1;
    return read_of(m, row, out, e);
}

static bool words_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct making *m = ctx;
    struct meaning means = {0};
    if (!read_means(m, row, &means, e))
        return false;
    if (means.of < 0)
        return true;
    if ((means.is == MEAN_SECTION && means.of == m->l->show->root))
        means.is = MEAN_ALL;
    const char *list = row->cell[WORDS];
    struct entries *to = means.is == MEAN_FAULT ? &m->faults : &m->words;
    for (const char *word; (word = next_of(m->a, &list, ';'));)
        entries_add(to, word, means);
    return true;
}

/* --- the table of signs ------------------------------------------------------------------------ */

static bool add_sign(struct making *m, const struct table_row *row, const char *text, struct err *e)
{
    struct lexicon *l = m->l;
    struct sign s = {.fault = show_fault(l->show, row->cell[FAULT])};
    for (const char *name; (name = next_of(m->a, &text, '+'));) {
        const int of = idea(m, name, false);
        if (of < 0)
            return table_error(row, SIGNS, e,
                               "no word means the idea '%s'; write one into the table "
                               "of words",
                               name);
        if (s.n == SIGN_IDEAS)
            return table_error(row, SIGNS, e, "'%s' is the %dth idea of a sign; %d at most", name,
                               SIGN_IDEAS + 1, SIGN_IDEAS);
        s.ideas[s.n++] = of;
    }
    if (s.fault < 0 || l->show->faults[s.fault].removed || s.n == 0)
        return true;
    l->signs = arena_grow(m->a, l->signs, l->n_signs, &m->cap_signs, sizeof *l->signs);
    l->signs[l->n_signs++] = s;
    return true;
}

static bool signs_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct making *m = ctx;
    const char *list = row->cell[SIGNS];
    bool ok = true;
    const int fault = show_fault(m->l->show, row->cell[FAULT]);
    if (fault >= 0 && *row->cell[OF_SECTION])
        m->l->work_of[fault] = show_section(m->l->show, row->cell[OF_SECTION]);
    for (const char *text; (text = next_of(m->a, &list, ';'));)
        ok &= add_sign(m, row, text, e);
    return ok;
}

/* --- the table of examples --------------------------------------------------------------------- */

static bool examples_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct making *m = ctx;
    struct example x = {.said = arena_strdup(m->a, row->cell[SAID])};
    const char *fault = row->cell[OF_FAULT];
    if (!table_truth(row, PRAISE, &x.praise, e))
        return false;
    x.fault = EXAMPLE_NONE;
    if (strcmp(fault, "-") != 0) {
        const int of = *fault ? show_fault(m->l->show, fault) : -1;
        x.fault = of >= 0 ? of : EXAMPLE_OTHER;
    }
    m->examples =
        arena_grow(m->a, m->examples, m->n_examples, &m->cap_examples, sizeof *m->examples);
    m->examples[m->n_examples++] = x;
    return true;
}

/* --- the show's own words ---------------------------------------------------------------------- */

/* What neither tables nor examples know speaks of nothing but what the staff say: it is worth as much
 * as several words that are said of a fault. What they know means what it meant, so that the staff's word
 * for it must be worth more than that. */
static const double own_worth = 2.65, own_over_others = 6;

struct spoken_text {
    struct words w;
    struct hits hits;
};

static struct spoken_text look_up(const struct lexicon *l, struct arena *a, const char *text)
{
    const struct timed_cue cue = {.text = text, .speaker = "", .to_us = -1};
    const struct timed t = {TIMED_STAMPS, &cue, 1};
    struct spoken_text out;
    words_of(a, &t, &out.w);
    lexicon_find(l, a, &out.w, &out.hits);
    return out;
}

bool lexicon_says(const struct lexicon *l, struct arena *a, const char *words)
{
    const struct spoken_text t = look_up(l, a, words);
    size_t nothing = 0;
    for (size_t i = 0; i < t.hits.n; i++) {
        const struct phrase *p = t.hits.at[i].phrase;
        if (!phrase_means(p, MEAN_IDEA) && !phrase_means(p, MEAN_SECTION) &&
            !phrase_means(p, MEAN_ASIDE))
            nothing += t.hits.at[i].n;
    }
    return t.w.n == 0 || nothing < t.w.n;
}

static bool nobody_knows(const struct making *m, const char *text)
{
    struct uses uses;
    const struct spoken_text t = look_up(m->l, m->a, text);
    examples_find(m->l, m->a, &t.w, &t.hits, &uses);
    return t.w.n > 0 && t.hits.n == 0 && uses.n == 0;
}

/* Do all shows begin with that word for it? */
static bool is_shipped(const struct making *m, const char *name, const char *word)
{
    for (size_t i = 0; i < m->shipped.n; i++) {
        if (utf8_casecmp(m->shipped.at[i].name, name) != 0)
            continue;
        const char *list = m->shipped.at[i].words;
        for (const char *one; (one = next_of(m->a, &list, ';'));)
            if (utf8_casecmp(one, word) == 0)
                return true;
        return false;
    }
    return false;
}

static void add_own_idea(struct making *m, int fault, const char *word, double worth)
{
    struct lexicon *l = m->l;
    const int of = idea(m, arena_printf(m->a, "%s: %s", l->show->faults[fault].name, word), true);
    entries_add(&m->words, word, (struct meaning){.is = MEAN_IDEA, .of = of});
    l->signs = arena_grow(m->a, l->signs, l->n_signs, &m->cap_signs, sizeof *l->signs);
    l->signs[l->n_signs++] = (struct sign){.fault = fault, .ideas = {of}, .n = 1};
    m->own = arena_grow(m->a, m->own, m->n_own, &m->cap_own, sizeof *m->own);
    m->own[m->n_own++] = (struct own_idea){of, worth};
}

/* Ideas of such words of the show's faults, from n_ideas on; examples were learnt before. */
static void own_ideas(struct making *m)
{
    const struct show *show = m->l->show;
    for (size_t f = 0; f < show->n_faults; f++) {
        const char *list = show->faults[f].removed ? "" : show->faults[f].words;
        for (const char *word; list && (word = next_of(m->a, &list, ';'));)
            if (nobody_knows(m, word))
                add_own_idea(m, (int)f, word, own_worth);
            else if (m->shipped.n > 0 && !is_shipped(m, show->faults[f].name, word) &&
                     lexicon_says(m->l, m->a, word))
                add_own_idea(m, (int)f, word, own_over_others);
    }
}

static void name_ideas(struct making *m)
{
    struct lexicon *l = m->l;
    l->starred = arena_alloc(m->a, (l->n_ideas + 1) * sizeof *l->starred);
    for (size_t i = 0; i < l->n_ideas; i++)
        l->starred[i] = arena_printf(m->a, "*%s", l->ideas[i]);
}

/* An idea that speaks of one fault says most; one that speaks of many says little about each. */
static void weigh(struct making *m)
{
    struct lexicon *l = m->l;
    l->weights = arena_alloc(m->a, (l->n_ideas + 1) * sizeof *l->weights);
    bool *seen = arena_alloc(m->a, (l->show->n_faults + 1) * sizeof *seen);
    for (size_t i = 0; i < l->n_ideas; i++) {
        size_t n = 0;
        memset(seen, 0, l->show->n_faults * sizeof *seen);
        for (size_t k = 0; k < l->n_signs; k++)
            for (size_t j = 0; j < l->signs[k].n; j++)
                if (l->signs[k].ideas[j] == (int)i && !seen[l->signs[k].fault]) {
                    seen[l->signs[k].fault] = true;
                    n++;
                }
        l->weights[i] = 1 / sqrt((double)(n > 0 ? n : 1));
    }
}

const struct lexicon *lexicon_new(struct arena *a, const struct show *show,
                                  const struct lexicon_tables *tables, struct err *e)
{
    struct lexicon *l = arena_alloc(a, sizeof *l);
    l->show = show;
    l->work_of = arena_alloc(a, (show->n_faults + 1) * sizeof *l->work_of);
    for (size_t i = 0; i < show->n_faults; i++)
        l->work_of[i] = -1;
    struct making m = {.a = a, .l = l, .words.a = a, .faults.a = a};
    if (!table_read(&tables->words, talk_words_columns, words_row, &m, e) ||
        !table_read(&tables->signs, talk_signs_columns, signs_row, &m, e))
        return NULL;
    if (tables->faults.n > 0 && !faults_read(a, &tables->faults, &m.shipped, e))
        return NULL;
    for (size_t i = 0; i < tables->n_examples; i++)
        if (!table_read(&tables->examples[i], talk_examples_columns, examples_row, &m, e))
            return NULL;
    entries_of_show(show, &m.words, &m.faults);
    phrases_of(a, &m.words, &l->phrases);
    phrases_of(a, &m.faults, &l->faults);
    name_ideas(&m);
    examples_learn(a, l, m.examples, m.n_examples, &l->examples);
    own_ideas(&m);
    phrases_of(a, &m.words, &l->phrases);
    name_ideas(&m);
    weigh(&m);
    for (size_t i = 0; i < m.n_own; i++)
        l->weights[m.own[i].idea] = m.own[i].worth;
    return l;
}
