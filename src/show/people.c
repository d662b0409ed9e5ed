#include "show/people.h"

#include <ctype.h>
#include <string.h>

#include "base/utf8.h"

/* A part of a name is looked for as a word of its own; short ones are words of the language. */
enum { NAME_LEAST = 3 };

static const char parts[] = " \t-,."; /* what parts a name */

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

/* Each part of a name that the text holds, once. */
static void add_parts(const char *text, const char *name, struct buf *out)
{
    for (const char *s = name; *s; s += strspn(s, parts)) {
        const size_t n = strcspn(s, parts);
        struct buf quoted = {0};
        buf_printf(&quoted, "'%.*s'", (int)n, s);
        if (has_word(text, s, n) && !strstr(buf_text(out), quoted.p))
            buf_printf(out, "%s%s", out->n ? ", " : "", quoted.p);
        buf_free(&quoted);
        s += n;
    }
}

void people_in(const char *text, const struct show *show, const char *author, struct buf *out)
{
    for (size_t i = 0; *text && i < show->n_performers; i++)
        add_parts(text, show->performers[i].name, out);
    add_parts(text, author, out);
}
