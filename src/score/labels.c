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
        if (!out[i].label)
            out[i].label = numbered(a, out, starts->n, i);
        if (!*starts->at[i].text)
            out[i].name = names[i];
    }
}
