#include "show/header.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/near.h"
#include "base/utf8.h"

/* --- separators ------------------------------------------------------------------------------- */

static const char separators[] = ",;\t";

static size_t line_length(const char *s, size_t n)
{
    size_t i = 0;
    while (i < n && s[i] != '\n' && s[i] != '\r')
        i++;
    return i;
}

/* sep=; with or without quotes, and what a spreadsheet that saved it again put behind it. */
static bool says_separator(const char *line, size_t n, char *out)
{
    const size_t from = n > 0 && *line == '"';
    if (n < from + 5 || strncasecmp(line + from, "sep=", 4) != 0)
        return false;
    *out = line[from + 4];
    for (size_t i = from + 5; i < n; i++)
        if (line[i] != '"' && line[i] != *out)
            return false;
    return strchr(separators, *out) != NULL;
}

struct guess {
    int known, found; /* known columns, separators */
};

static int name_known(const struct table_column *columns, const char *s, size_t n)
{
    char name[80];
    size_t k = 0;
    for (size_t i = 0; i < n && k + 1 < sizeof name; i++)
        if (s[i] != '"' && (k > 0 || s[i] != ' '))
            name[k++] = s[i];
    while (k > 0 && strchr(" \t\r\n", name[k - 1]))
        k--;
    name[k] = '\0';
    return k > 0 && header_column(columns, name) >= 0;
}

/* A name in quotes may hold separators and line ends; what is not quoted ends with the line. */
static struct guess guess_of(const char *s, size_t n, const struct table_column *columns,
                             char separator)
{
    struct guess g = {0, 0};
    bool quoted = false;
    size_t from = 0, i = 0;
    for (; i < n && (quoted || (s[i] != '\n' && s[i] != '\r')); i++) {
        quoted ^= s[i] == '"';
        if (quoted || s[i] != separator)
            continue;
        g.known += name_known(columns, s + from, i - from);
        g.found++;
        from = i + 1;
    }
    g.known += name_known(columns, s + from, i - from);
    return g;
}

struct header_signs header_signs(const struct table_text *text, const struct table_column *columns)
{
    const char *s = text->bytes;
    size_t n = text->n, line = line_length(s, n);
    struct header_signs out = {',', 0};
    if (says_separator(s, line, &out.separator)) {
        const bool two = line + 1 < n && s[line] == '\r' && s[line + 1] == '\n';
        out.skip = line + (line < n) + two;
        return out;
    }
    while (n > 0 && strchr(" ,;\t\r\n", *s)) { /* rows without text stand before the header */
        s++;
        n--;
    }
    struct guess best = {-1, 0};
    for (const char *k = separators; *k; k++) {
        const struct guess g = guess_of(s, n, columns, *k);
        if (g.known < best.known || (g.known == best.known && g.found <= best.found))
            continue;
        best = g;
        out.separator = *k;
    }
    return out;
}

/* --- names ------------------------------------------------------------------------------------ */

int header_column(const struct table_column *columns, const char *name)
{
    for (int i = 0; columns[i].name; i++)
        if (strcasecmp(columns[i].name, name) == 0)
            return i;
    return -1;
}

void header_names(const struct table_column *columns, char *out, size_t size)
{
    size_t n = 0;
    out[0] = '\0';
    for (int i = 0; columns[i].name && n < size; i++)
        if (!table_ours(&columns[i]))
            n += (size_t)snprintf(out + n, size - n, "%s%s", i ? "," : "", columns[i].name);
}

int header_meant(const struct header *h, const struct table_column *columns, const char *name)
{
    struct near near = {.word = name};
    for (int k = 0; columns[k].name; k++)
        if (!h->seen[k] && !table_ours(&columns[k]))
            near_offer(&near, columns[k].name);
    if (!near.best || near.distance >= (int)strlen(name)) /* '#' is not a mistyped 'x' */
        return -1;
    return header_column(columns, near.best);
}

void header_note(const struct header *h, const struct table_column *columns, const char *source,
                 struct buf *out)
{
    enum { NAMED = 12, LONGEST = 40 };
    struct buf line = {0};
    int n = 0;
    for (int i = 0; i < h->cells; i++) {
        if (h->place[i] >= 0 || !*h->names[i] || n++ >= NAMED)
            continue;
        buf_printf(&line, n == 1 ? "%s: columns that are passed over: '%.*s'" : "%s, '%.*s'",
                   n == 1 ? source : "", (int)utf8_fit(h->names[i], LONGEST), h->names[i]);
    }
    if (n > NAMED)
        buf_printf(&line, " and %d more", n - NAMED);
    for (int i = 0, said = 0; i < h->cells; i++) {
        const int meant = h->place[i] < 0 ? header_meant(h, columns, h->names[i]) : -1;
        if (meant >= 0)
            buf_printf(&line, "%s'%s' for '%.*s'", said++ ? ", " : "; did you mean ",
                       columns[meant].name, (int)utf8_fit(h->names[i], LONGEST), h->names[i]);
        if (i + 1 == h->cells && said)
            buf_char(&line, '?');
    }
    if (n > 0) {
        utf8_tame(line.p); /* a name in quotes may hold a line end */
        buf_printf(out, "%s\n", line.p);
    }
    buf_free(&line);
}
