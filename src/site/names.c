/* Names of people in notes. */
#include <ctype.h>
#include <string.h>

#include "base/utf8.h"
#include "count/timecode.h"
#include "site/inside.h"

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

/* The part of a name that a note holds; "" when none. */
static const char *part_in(struct arena *mem, const char *note, const char *name)
{
    for (const char *s = name; *s;) {
        const size_t n = strcspn(s, " \t-,.");
        if (has_word(note, s, n))
            return arena_strndup(mem, s, n);
        s += n;
        s += strspn(s, " \t-,.");
    }
    return "";
}

static const char *person_in(struct site *s, const struct mark *m)
{
    const struct show *show = &s->app->show;
    const char *part = "";
    for (size_t i = 0; !*part && i < show->n_performers; i++)
        part = part_in(s->mem, m->note, show->performers[i].name);
    return *part ? part : part_in(s->mem, m->note, m->author);
}

bool site_names_in_notes(struct site *s, struct err *e)
{
    for (size_t i = 0; s->want->labels_only && i < s->n_clips; i++) {
        struct arena scratch = {0};
        struct mark_list marks;
        const bool ok = store_marks(s->app->store, &scratch, s->clips[i].c.id, &marks, e);
        for (size_t k = 0; ok && k < marks.n; k++) {
            const char *part = *marks.at[k].note ? person_in(s, &marks.at[k]) : "";
            char time[24];
            time_format_short(marks.at[k].at_us, time);
            if (*part)
                buf_printf(&s->out->trouble,
                           "look again: the note at %s of %s has '%s' in it, which is a name\n",
                           time, s->clips[i].c.label, part);
        }
        arena_free(&scratch);
        if (!ok)
            return false;
    }
    return true;
}
