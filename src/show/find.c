#include <string.h>

#include "base/near.h"
#include "base/utf8.h"
#include "show/show.h"

/* Is text one of the ';'-separated words, letter case and outer white space ignored? */
static bool in_words(const char *words, const char *text)
{
    char one[200];
    while (*words) {
        size_t n = strcspn(words, ";"), from = 0, to = n;
        while (from < to && words[from] == ' ')
            from++;
        while (to > from && words[to - 1] == ' ')
            to--;
        if (to > from && to - from < sizeof one) {
            memcpy(one, words + from, to - from);
            one[to - from] = '\0';
            if (utf8_casecmp(one, text) == 0)
                return true;
        }
        words += n + (words[n] == ';');
    }
    return false;
}

/* How well a name answers: 3 its name, 2 a word, 1 its key; removed ones count a little less. */
static int answer(const char *name, const char *words, const char *key, bool removed,
                  const char *text)
{
    int score = utf8_casecmp(name, text) == 0          ? 6
                : in_words(words, text)                ? 4
                : *key && utf8_casecmp(key, text) == 0 ? 2
                                                       : 0;
    return score ? score - removed : 0;
}

int show_section(const struct show *show, const char *text)
{
    int best = -1, score = 0;
    for (size_t i = 0; i < show->n_sections; i++) {
        const struct section *s = &show->sections[i];
        int x = answer(s->name, s->words, s->key, s->removed, text);
        if (x > score) {
            score = x;
            best = (int)i;
        }
    }
    return best;
}

int show_fault(const struct show *show, const char *text)
{
    int best = -1, score = 0;
    for (size_t i = 0; i < show->n_faults; i++) {
        const struct fault *f = &show->faults[i];
        int x = answer(f->name, f->words, f->key, f->removed, text);
        if (x > score) {
            score = x;
            best = (int)i;
        }
    }
    return best;
}

struct closed_up {
    char text[64];
};

static const char *closed_up(const char *label, struct closed_up *out)
{
    if (!strchr(label, ' ') || strlen(label) >= sizeof out->text)
        return label;
    char *to = out->text;
    for (const char *s = label; *s; s++)
        if (*s != ' ')
            *to++ = *s;
    *to = '\0';
    return out->text;
}

bool label_alike(const char *label, const char *other)
{
    struct closed_up a, b;
    return utf8_casecmp(closed_up(label, &a), closed_up(other, &b)) == 0;
}

int show_performer(const struct show *show, const char *text)
{
    int found = -1;
    for (size_t i = 0; i < show->n_performers; i++) {
        if (utf8_casecmp(show->performers[i].label, text) == 0)
            return (int)i;
        if (found < 0 && label_alike(show->performers[i].label, text))
            found = (int)i;
    }
    return found;
}

int show_set(const struct show *show, const char *label)
{
    int found = -1;
    for (size_t i = 0; i < show->n_sets; i++) {
        if (utf8_casecmp(show->sets[i].label, label) == 0)
            return (int)i;
        if (found < 0 && label_alike(show->sets[i].label, label))
            found = (int)i;
    }
    return found;
}

bool section_within(const struct show *show, int section, int above)
{
    for (; section >= 0; section = show->sections[section].up)
        if (section == above)
            return true;
    return false;
}

size_t show_performers_numbered(const struct show *show, int section, int number, int *out,
                                size_t most)
{
    size_t n = 0;
    for (size_t i = 0; i < show->n_performers; i++) {
        const struct performer *p = &show->performers[i];
        if (p->removed || p->number != number || !section_within(show, p->section, section))
            continue;
        if (n < most)
            out[n] = (int)i;
        n++;
    }
    return n;
}

static bool unknown(struct err *e, const char *what, const char *text, const struct near *near)
{
    return err_set(e, ERR_INPUT, "no %s '%s'%s", what, text,
                   near_said(near, "; boxcall keys SHOW lists them").text);
}

/* Offers every one of the ';'-separated words; the best is kept in `best`. */
static void offer_words(struct near *near, const char *words, char best[200])
{
    while (*words) {
        size_t n = strcspn(words, ";");
        const char *before = near->best;
        char one[200];
        if (n && n < sizeof one) {
            memcpy(one, words, n);
            one[n] = '\0';
            near_offer(near, one);
            if (near->best != before)
                near->best = strcpy(best, one);
        }
        words += n + (words[n] == ';');
    }
}

bool section_named(const struct show *show, const char *text, int *out, struct err *e)
{
    *out = show_section(show, text);
    if (*out >= 0)
        return true;
    char word[200];
    struct near near = {.word = text};
    for (size_t i = 0; i < show->n_sections; i++) {
        near_offer(&near, show->sections[i].name);
        offer_words(&near, show->sections[i].words, word);
    }
    return unknown(e, "section", text, &near);
}

bool fault_named(const struct show *show, const char *text, int *out, struct err *e)
{
    *out = show_fault(show, text);
    if (*out >= 0)
        return true;
    char word[200];
    struct near near = {.word = text};
    for (size_t i = 0; i < show->n_faults; i++) {
        near_offer(&near, show->faults[i].name);
        offer_words(&near, show->faults[i].words, word);
    }
    return unknown(e, "fault", text, &near);
}

/* The readers refuse a loop; a file that was put together elsewhere may still hold one. */
static bool goes_round(const struct show *show, int section)
{
    size_t steps = 0;
    while (section >= 0 && steps++ <= show->n_sections)
        section = show->sections[section].up;
    return section >= 0;
}

void show_link(struct show *show)
{
    int head = -1, heads = 0, ensemble = -1;
    for (size_t i = 0; i < show->n_sections; i++) {
        struct section *s = &show->sections[i];
        s->up = -1;
        for (size_t k = 0; *s->parent && k < show->n_sections && s->up < 0; k++)
            if (k != i && utf8_casecmp(show->sections[k].name, s->parent) == 0)
                s->up = (int)k;
        if (utf8_casecmp(s->name, "ensemble") == 0)
            ensemble = (int)i;
        if (s->up < 0 && !s->removed) {
            head = (int)i;
            heads++;
        }
    }
    show->root = heads == 1 ? head : ensemble >= 0 ? ensemble : head;
    if (show->root >= 0)
        show->sections[show->root].up = -1;
    for (size_t i = 0; i < show->n_sections; i++)
        if ((int)i != show->root && (show->sections[i].up < 0 || goes_round(show, (int)i)))
            show->sections[i].up = show->root;
}
