#include <ctype.h>
#include <inttypes.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/utf8.h"
#include "paper/paper.h"
#include "show/table.h"

static const char *const names[] = {[AS_TEXT] = "text",
                                    [AS_CSV] = "csv",
                                    [AS_JSON] = "json",
                                    [AS_VTT] = "vtt",
                                    [AS_ANNOTATIONS] = "annotations",
                                    [AS_CHAPTERS] = "chapters",
                                    [AS_ICS] = "ics",
                                    [AS_PDF] = "pdf"};
_Static_assert(sizeof names / sizeof *names == AS_FORMATS, "every format has a name");

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

void size_text(int64_t bytes, struct buf *out)
{
    const double mb = (double)bytes / 1e6;
    if (bytes < 999500)
        buf_printf(out, "%.0f KB", bytes <= 500 ? 1 : (double)bytes / 1e3);
    else
        buf_printf(out, mb < 9.95 ? "%.1f MB" : "%.0f MB", mb);
}

void csv_cell(struct buf *out, const char *text, bool first)
{
    if (!first)
        buf_char(out, ',');
    bool runs = table_runs(text);
    const char last = *text ? text[strlen(text) - 1] : '\0';
    bool quote = strpbrk(text, ",\"\r\n") || *text == ' ' || last == ' ' || last == '\t';
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

void iri_path(const char *path, struct buf *out)
{
    for (const unsigned char *s = (const unsigned char *)path; *s; s++) {
        if ((*s < 0x80 && isalnum(*s)) || strchr("-._~/", *s))
            buf_char(out, (char)*s);
        else
            buf_printf(out, "%%%02X", *s);
    }
}

void put_exact(double x, struct buf *out)
{
    char text[40];
    for (int digits = 3; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, x);
        if (strtod(text, NULL) == x)
            break;
    }
    buf_str(out, text);
}

void moment_link(const char *path, int64_t at_us, struct buf *out)
{
    iri_path(path, out);
    char seconds[40];
    const int64_t ms = ms_of_us(at_us > MARK_LEAD_IN_US ? at_us - MARK_LEAD_IN_US : 0);
    int n = snprintf(seconds, sizeof seconds, "%" PRId64 ".%03" PRId64, ms / 1000, ms % 1000);
    while (seconds[n - 1] == '0')
        seconds[--n] = '\0';
    if (seconds[n - 1] == '.')
        seconds[--n] = '\0';
    buf_printf(out, "#t=%s", seconds);
}

void moment_id(const struct report_moment *m, struct buf *out)
{
    buf_printf(out, "m=%.*s", MOMENT_ID_DIGITS, m->uid);
}

void put_seconds(struct buf *out, int64_t us, bool exact)
{
    const uint64_t n = us < 0 ? 0 - (uint64_t)us : (uint64_t)us;
    if (exact && n % 1000)
        buf_printf(out, "%s%" PRIu64 ".%06" PRIu64, us < 0 ? "-" : "", n / 1000000, n % 1000000);
    else
        buf_printf(out, "%s%" PRIu64 ".%03" PRIu64, us < 0 ? "-" : "",
                   (n / 1000 + (n % 1000 >= 500)) / 1000, (n / 1000 + (n % 1000 >= 500)) % 1000);
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

int text_width(const char *text)
{
    struct buf tame = {0};
    put_text(&tame, text);
    const int w = utf8_width(buf_text(&tame));
    buf_free(&tame);
    return w;
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

void plain_text(struct buf *b)
{
    static const char *const signs[][2] = {
        {"×", "x"}, {"–", "-"}, {"±", "+-"}, {"·", "/"}, {"█", "#"}};
    struct buf out = {0};
    for (size_t i = 0; i < b->n;) {
        size_t took = 0;
        for (size_t k = 0; k < sizeof signs / sizeof *signs && !took; k++)
            if (strncmp(b->p + i, signs[k][0], strlen(signs[k][0])) == 0) {
                took = strlen(signs[k][0]);
                buf_str(&out, signs[k][1]);
            }
        if (!took)
            buf_char(&out, b->p[i]);
        i += took ? took : 1;
    }
    buf_free(b);
    *b = out;
}

void sets_text(const struct show *show, const struct rank_item *item, size_t most, struct buf *out)
{
    for (size_t i = 0; i < item->n_sets && i < most; i++)
        buf_printf(out, "%s%s", i ? " " : "", show->sets[item->sets[i]].label);
    if (item->n_sets > most)
        buf_printf(out, " +%zu", item->n_sets - most);
}

struct place_said place_said(const struct show *show, int set, double count)
{
    if (set < 0)
        return (struct place_said){PLACE_NONE, -1, 0};
    count = round(count * 1000) / 1000;
    if (!(count >= 1))
        count = 1;
    for (int i = set; i < (int)show->n_sets; i++, count = 1) {
        if (count < show->sets[i].counts + 1.0)
            return (struct place_said){PLACE_COUNT, i, count};
        if (show->sets[i].hold > 0)
            return (struct place_said){PLACE_HOLD, i, show->sets[i].counts};
    }
    return (struct place_said){PLACE_END, set, 0};
}

void place_text(const struct show *show, int set, double count, struct buf *out)
{
    const struct place_said p = place_said(show, set, count);
    if (p.kind == PLACE_NONE)
        return;
    const struct set *s = &show->sets[p.set];
    if (p.kind == PLACE_COUNT)
        buf_printf(out, "set %s, count %d of %d", s->label, int_within(p.count, 1, INT_MAX),
                   s->counts);
    else if (p.kind == PLACE_HOLD && s->counts > 0)
        buf_printf(out, "set %s, count %d and holding", s->label, s->counts);
    else
        buf_printf(out, p.kind == PLACE_HOLD ? "set %s, holding" : "the end of set %s", s->label);
}
