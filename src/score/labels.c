#include "score/labels.h"

#include <ctype.h>
#include <string.h>

#include "base/utf8.h"

enum { SHORT = 8 };

/* Letters and digits of any script: a point, a colon or a sign would make it a time or a count. */
static bool can_be_label(const char *text)
{
    for (const char *s = text; *s; s++)
        if ((unsigned char)*s < 0x80 && !isalnum((unsigned char)*s))
            return false;
    return *text && utf8_width(text) <= SHORT;
}

static bool is_word_of_marks(const char *word)
{
    static const char *const words[] = {"set", "letter", "mark", "rehearsal", "number", "no"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (utf8_casecmp(word, words[i]) == 0)
            return true;
    return false;
}

/* 'D', 'AA', '12', '3a' or 'D2', but no word of a sentence. */
static bool is_mark(const char *word)
{
    enum { LONGEST = 3 };
    const size_t n = strlen(word);
    bool digit = false, lower = false;
    for (size_t i = 0; i < n; i++) {
        digit |= isdigit((unsigned char)word[i]);
        lower |= !isdigit((unsigned char)word[i]) && !isupper((unsigned char)word[i]);
    }
    return n > 0 && n <= LONGEST && can_be_label(word) && (digit || !lower);
}

/* 'T 4' is T4. */
static const char *joined(struct arena *a, const char *word, const char **rest)
{
    const size_t n = strspn(*rest, "0123456789");
    if (n == 0 || (*rest)[n] || strspn(word, "0123456789"))
        return word;
    const char *both = arena_printf(a, "%s%s", word, *rest);
    *rest += n;
    return can_be_label(both) ? both : word;
}

/* The mark that a longer text begins with ('D Grand turn', 'Letter D: turn'), NULL where it begins
 * with none. *rest: what stands behind it. */
static const char *mark_of(struct arena *a, const char *text, const char **rest)
{
    static const char between[] = " .,:;/-[]()";
    for (*rest = text + strspn(text, between);;) {
        const size_t n = strcspn(*rest, between);
        const char *word = arena_strndup(a, *rest, n);
        *rest += n;
        const size_t gap = strspn(*rest, between);
        const bool apart = !(*rest)[gap] || memchr(*rest, ' ', gap); /* not so in '1:05' */
        *rest += gap;
        if (!apart)
            return NULL;
        if (is_mark(word))
            return joined(a, word, rest);
        if (!is_word_of_marks(word))
            return NULL;
    }
}

static bool taken(const struct label *labels, size_t n, const char *label)
{
    for (size_t i = 0; i < n; i++)
        if (labels[i].label && utf8_casecmp(labels[i].label, label) == 0)
            return true;
    return false;
}

static const char *numbered(struct arena *a, const struct label *labels, size_t n, size_t i)
{
    const char *label = arena_printf(a, "%zu", i + 1);
    for (int more = 0; taken(labels, n, label); more++)
        label = more < 26 ? arena_printf(a, "%zu%c", i + 1, 'a' + more)
                          : arena_printf(a, "%zux%d", i + 1, more);
    return label;
}

void labels_make(struct arena *a, const struct start_list *starts, const char *const *names,
                 struct label *out)
{
    for (size_t i = 0; i < starts->n; i++) {
        const char *text = starts->at[i].text;
        const bool good = can_be_label(text) && !taken(out, i, text);
        out[i] = (struct label){good ? text : NULL, good ? "" : text};
    }
    for (size_t i = 0; i < starts->n; i++) {
        const char *rest, *mark = out[i].label ? NULL : mark_of(a, starts->at[i].text, &rest);
        if (mark && !taken(out, starts->n, mark))
            out[i] = (struct label){mark, rest};
    }
    for (size_t i = 0; i < starts->n; i++) {
        if (!out[i].label)
            out[i].label = numbered(a, out, starts->n, i);
        if (!*starts->at[i].text)
            out[i].name = names[i];
    }
}
