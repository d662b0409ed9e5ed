#include "show/people.h"

#include <ctype.h>
#include <string.h>

#include "base/utf8.h"

/* A part of a name is looked for as a word of its own; short ones are words of the language. */
enum { NAME_LEAST = 3 };

static bool is_letter(const char *text, size_t at)
{
    const unsigned char c = (unsigned char)text[at];
    return c >= 0x80 || isalnum(c);
}

static bool has_word(const char *text, const char *word, size_t n)
{
    char one[80];
    if (n < NAME_LEAST || n >= sizeof one)
        return false;
    memcpy(one, word, n);
    one[n] = '\0';
    for (size_t i = 0; text[i]; i++) {
        char there[80];
        const size_t left = strlen(text + i);
        if ((i && is_letter(text, i - 1)) || left < n || (text[i + n] && is_letter(text, i + n)))
            continue;
        memcpy(there, text + i, n);
        there[n] = '\0';
        if (utf8_casecmp(there, one) == 0)
            return true;
    }
    return false;
}

const char *people_part(struct arena *mem, const char *text, const char *name)
{
    for (const char *s = name; *s;) {
        const size_t n = strcspn(s, " \t-,.");
        if (has_word(text, s, n))
            return arena_strndup(mem, s, n);
        s += n;
        s += strspn(s, " \t-,.");
    }
    return "";
}

const char *people_named(struct arena *mem, const char *text, const struct show *show)
{
    const char *part = "";
    for (size_t i = 0; !*part && i < show->n_performers; i++)
        part = people_part(mem, text, show->performers[i].name);
    return part;
}
