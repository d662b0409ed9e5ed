#include "talk/stems.h"

#include <libstemmer.h>
#include <stdlib.h>
#include <string.h>

struct stems {
    struct sb_stemmer *by;
};

struct stems *stems_new(void)
{
    struct stems *s = xcalloc(1, sizeof *s);
    s->by = sb_stemmer_new("english", NULL);
    if (!s->by) /* a library without English is none, or there is no memory */
        abort();
    return s;
}

const char *stems_of(struct stems *s, struct arena *a, const char *word)
{
    const sb_symbol *stem =
        sb_stemmer_stem(s->by, (const sb_symbol *)word, (int)strnlen(word, 1000));
    if (!stem) /* no memory */
        abort();
    return arena_strndup(a, (const char *)stem, (size_t)sb_stemmer_length(s->by));
}

void stems_free(struct stems *s)
{
    sb_stemmer_delete(s->by);
    free(s);
}
