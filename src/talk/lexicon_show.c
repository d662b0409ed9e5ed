#include <string.h>

#include "talk/lexicon_inner.h"

static void add_words(struct entries *all, const char *words, struct meaning m)
{
    for (const char *word; (word = next_of(all->a, &words, ';'));)
        entries_add(all, word, m);
}

/* "Ana Reyes", and "Ana" where she is the only one. */
static void add_person(const struct show *show, struct entries *all, size_t who)
{
    const struct performer *p = &show->performers[who];
    const struct meaning m = {.is = MEAN_PERFORMER, .of = (int)who};
    if (*p->label)
        entries_add(all, p->label, m);
    if (!*p->name)
        return;
    entries_add(all, p->name, m);
    const size_t n = strcspn(p->name, " ");
    if (n < 3 || p->name[n] == '\0')
        return;
    size_t namesakes = 0;
    for (size_t i = 0; i < show->n_performers; i++)
        namesakes += !show->performers[i].removed &&
                     strncmp(show->performers[i].name, p->name, n) == 0 &&
                     (show->performers[i].name[n] == ' ' || show->performers[i].name[n] == '\0');
    if (namesakes == 1)
        entries_add(all, arena_strndup(all->a, p->name, n),
                    (struct meaning){.is = MEAN_FORENAME, .of = (int)who});
}

void entries_of_show(const struct show *show, struct entries *all, struct entries *faults)
{
    for (size_t i = 0; i < show->n_sections; i++) {
        const struct section *s = &show->sections[i];
        if (s->removed)
            continue;
        const struct meaning m = {.is = (int)i == show->root ? MEAN_ALL : MEAN_SECTION,
                                  .of = (int)i};
        entries_add(all, s->name, m);
        add_words(all, s->words, m);
    }
    for (size_t i = 0; i < show->n_faults; i++) {
        const struct fault *f = &show->faults[i];
        if (f->removed)
            continue;
        const struct meaning m = {.is = MEAN_FAULT, .of = (int)i};
        entries_add(faults, f->name, m);
        add_words(faults, f->words, m);
    }
    for (size_t i = 0; i < show->n_performers; i++)
        if (!show->performers[i].removed)
            add_person(show, all, i);
}
