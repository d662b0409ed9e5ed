/* Words that are to be taught: are they any, and is nobody called so? */
#include <string.h>

#include "base/utf8.h"
#include "talk/lexicon_inner.h"
#include "talk/teach.h"

/* Without blanks around it and two between. */
static const char *tidy(struct arena *a, const char *text)
{
    char *out = arena_alloc(a, strlen(text) + 1);
    size_t n = 0;
    for (; *text; text++)
        if (*text != ' ' || (n > 0 && out[n - 1] != ' '))
            out[n++] = *text;
    if (n > 0 && out[n - 1] == ' ')
        n--;
    out[n] = '\0';
    return out;
}

/* "bell height", of all forms of these words. */
static const char *stems_of_text(struct arena *a, const char *text, size_t *n)
{
    const struct timed_cue cue = {.text = text, .speaker = ""};
    const struct timed t = {TIMED_STAMPS, &cue, 1};
    struct words w;
    const char *out = "";
    words_of(a, &t, &w);
    for (size_t i = 0; i < w.n; i++)
        out = arena_printf(a, "%s%s%s", out, *out ? " " : "", w.at[i].stem);
    *n = w.n;
    return out;
}

static bool is_sound(struct arena *a, const char *words, struct err *e)
{
    char *seen = arena_strdup(a, words);
    utf8_tame(seen);
    if (strchr(words, ';'))
        return err_set(e, ERR_INPUT, "'%.90s' holds a ';', which parts words; teach each by itself",
                       words);
    if (strcmp(seen, words) != 0)
        return err_set(e, ERR_INPUT, "'%.90s' holds a character that is not seen; type it anew",
                       words);
    size_t n;
    stems_of_text(a, words, &n);
    if (n == 0)
        return err_set(e, ERR_INPUT, "there is no word in '%.90s'; write what people say", words);
    if (n > TEACH_WORDS_MOST || strlen(words) > TEACH_BYTES_MOST)
        return err_set(e, ERR_INPUT,
                       "'%.40s ...' is too long; at most %d words and %d letters can be taught",
                       words, TEACH_WORDS_MOST, TEACH_BYTES_MOST);
    return true;
}

/* By its name or one of its words. */
static bool is_called(struct arena *a, const struct named *x, const char *stems)
{
    size_t n;
    const char *list = x->words;
    if (strcmp(stems_of_text(a, x->name, &n), stems) == 0)
        return true;
    for (const char *word; (word = next_of(a, &list, ';'));)
        if (strcmp(stems_of_text(a, word, &n), stems) == 0)
            return true;
    return false;
}

const char *teach_words(struct arena *a, const struct named_list *all, size_t own,
                        const char *words, struct err *e)
{
    const struct named *x = &all->at[own];
    size_t n;
    words = tidy(a, words);
    if (!is_sound(a, words, e))
        return NULL;
    const char *stems = stems_of_text(a, words, &n);
    for (size_t i = 0; i < all->n; i++)
        if (is_called(a, &all->at[i], stems)) {
            err_set(e, ERR_INPUT, "'%s' means %s already%s", words, all->at[i].name,
                    i == own ? "" : "; one word cannot mean both");
            return NULL;
        }
    return *x->words ? arena_printf(a, "%s;%s", x->words, words) : words;
}
