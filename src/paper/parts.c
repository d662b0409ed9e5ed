#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "paper/paper.h"

static const char *const names[AS_FORMATS] = {
    [AS_TEXT] = "text", [AS_CSV] = "csv", [AS_JSON] = "json", [AS_VTT] = "vtt"};

bool format_named(const char *name, enum format *out)
{
    for (int i = 0; i < AS_FORMATS; i++)
        if (strcmp(names[i], name) == 0) {
            *out = (enum format)i;
            return true;
        }
    return false;
}

const char *format_name(enum format f)
{
    return names[f];
}

static bool is_number(const char *s)
{
    bool digits = false;
    for (s += *s == '-' || *s == '+'; *s; s++) {
        if (!isdigit((unsigned char)*s) && *s != '.')
            return false;
        digits |= isdigit((unsigned char)*s) != 0;
    }
    return digits;
}

void csv_cell(struct buf *out, const char *text, bool first)
{
    if (!first)
        buf_char(out, ',');
    bool runs = *text && strchr("=+-@\t\r", *text) && !is_number(text);
    bool quote =
        strpbrk(text, ",\"\r\n") || *text == ' ' || (*text && text[strlen(text) - 1] == ' ');
    if (quote)
        buf_char(out, '"');
    if (runs)
        buf_char(out, '\'');
    for (const char *s = text; *s; s++) {
        if (*s == '"')
            buf_char(out, '"');
        buf_char(out, *s);
    }
    if (quote)
        buf_char(out, '"');
}

void csv_end(struct buf *out)
{
    buf_str(out, "\r\n");
}

void moment_link(const char *path, int64_t at_us, struct buf *out)
{
    for (const unsigned char *s = (const unsigned char *)path; *s; s++) {
        if ((*s < 0x80 && isalnum(*s)) || strchr("-._~/", *s))
            buf_char(out, (char)*s);
        else
            buf_printf(out, "%%%02X", *s);
    }
    char seconds[40];
    long long ms = (at_us + 500) / 1000;
    int n = snprintf(seconds, sizeof seconds, "%lld.%03lld", ms / 1000, ms % 1000);
    while (seconds[n - 1] == '0')
        seconds[--n] = '\0';
    if (seconds[n - 1] == '.')
        seconds[--n] = '\0';
    buf_printf(out, "#t=%s", seconds);
}

static bool line_end(const char *s)
{
    return s[0] == '\n' || (s[0] == '\r' && s[1] == '\n');
}

void put_text(struct buf *out, const char *text)
{
    size_t from = out->n;
    for (; *text; text++)
        buf_char(out, *text == '\t' || line_end(text) ? ' ' : *text);
    if (out->n > from)
        utf8_tame(out->p + from);
}

void pad_text(struct buf *out, const char *text, int columns)
{
    struct buf tame = {0};
    put_text(&tame, text);
    int w = utf8_width(buf_text(&tame));
    if (w > columns) {
        tame.n = utf8_fit(tame.p, columns > 3 ? columns - 3 : columns);
        tame.p[tame.n] = '\0';
        buf_str(&tame, columns > 3 ? "..." : "");
        w = utf8_width(tame.p);
    }
    buf_str(out, buf_text(&tame));
    for (; w < columns; w++)
        buf_char(out, ' ');
    buf_free(&tame);
}

void tame_lines(struct buf *b)
{
    for (size_t i = 0, took; i < b->n; i += took) {
        uint32_t c = utf8_next(b->p + i, b->n - i, &took);
        bool bad = c == UTF8_BAD && took == 1;
        if (bad || (c != '\t' && !line_end(b->p + i) && utf8_hides(b->p, b->n, i)))
            memset(b->p + i, '?', took);
    }
}

void who_text(const struct show *show, const struct rank_item *item, size_t most, struct buf *out)
{
    for (size_t i = 0; i < item->n_who && i < most; i++) {
        const struct rank_who *w = &item->who[i];
        buf_printf(out, "%s%s %d", i ? ", " : "",
                   w->performer ? show->performers[w->position].label
                                : show->sections[w->position].name,
                   w->marks);
    }
    if (item->n_who > most)
        buf_printf(out, ", +%zu more", item->n_who - most);
}

void sets_text(const struct show *show, const struct rank_item *item, size_t most, struct buf *out)
{
    for (size_t i = 0; i < item->n_sets && i < most; i++)
        buf_printf(out, "%s%s", i ? " " : "", show->sets[item->sets[i]].label);
    if (item->n_sets > most)
        buf_printf(out, " +%zu", item->n_sets - most);
}

void place_text(const struct show *show, int set, double count, struct buf *out)
{
    if (set < 0)
        return;
    buf_printf(out, "set %s, count %d of %d", show->sets[set].label, (int)count,
               show->sets[set].counts);
}
