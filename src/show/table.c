#include "show/table.h"

#include <csv.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/utf8.h"
#include "show/header.h"

struct reader {
    const char *source;
    const struct table_column *columns;
    table_row_fn *fn;
    void *ctx;
    struct table_talk *talk; /* the caller's, or one of our own */
    bool all;                /* go on behind a wrong row, to name them all */
    struct err *e;
    bool failed; /* no more is read */
    bool told;   /* what failed is in the talk */
    char separator;
    int line;       /* the line being fed */
    int cell_start; /* the line on which the cell being read began */
    bool in_row;
    struct buf text; /* the row's cells, NUL between them */
    size_t at[HEADER_CELLS];
    int lines[HEADER_CELLS];
    int cells;
    int place[HEADER_CELLS]; /* header: position in `columns`, or -1 */
    int header_cells;        /* 0 until the header was read */
    size_t rows;
};

static void wrong_at(struct reader *r, int line, int column, const char *text)
{
    err_set(r->e, ERR_INPUT, "%s:%d:%d: %s", r->source, line, column, text);
    table_wrong(r->talk, r->e);
    r->talk->broken = true;
    r->told = true;
}

/* Nothing behind it can be read. */
static bool fail_at(struct reader *r, int line, int column, const char *text)
{
    wrong_at(r, line, column, text);
    r->failed = true;
    return false;
}

/* Length of the white space at s: a blank, or the no-break space that spreadsheets leave behind. */
static size_t blank(const char *s)
{
    return *s && strchr(" \t\r\n", *s) ? 1 : strncmp(s, "\u00a0", 2) == 0 ? 2 : 0;
}

static char *first_seen(char *s)
{
    while (blank(s))
        s += blank(s);
    return s;
}

static char *trimmed(char *s)
{
    s = first_seen(s);
    size_t n = strlen(s);
    for (size_t last; n > 0; n -= last) {
        last = blank(s + n - 1) == 1 ? 1 : n > 1 && blank(s + n - 2) == 2 ? 2 : 0;
        if (!last)
            break;
    }
    s[n] = '\0';
    return s;
}

/* What is told of the header stands in h; a required column that is missing is looked for among the
 * names that are not known. */
static bool missing(struct reader *r, const struct header *h, int column)
{
    char names[200], text[400];
    for (int i = 0; i < h->cells; i++) {
        if (h->place[i] >= 0 || header_meant(h, r->columns, h->names[i]) != column)
            continue;
        snprintf(text, sizeof text, "no column '%.100s' is known; did you mean '%s'?", h->names[i],
                 r->columns[column].name);
        return fail_at(r, r->lines[i], i + 1, text);
    }
    header_names(r->columns, names, sizeof names);
    snprintf(text, sizeof text, "no column '%s'; the first line must name the columns: %s",
             r->columns[column].name, names);
    return fail_at(r, r->lines[0], 1, text);
}

static bool read_header(struct reader *r)
{
    struct header h = {.cells = r->cells};
    char text[200];
    for (int i = 0; i < r->cells; i++) {
        h.names[i] = trimmed(r->text.p + r->at[i]);
        const int place = h.place[i] = r->place[i] = header_column(r->columns, h.names[i]);
        if (place >= 0 && h.seen[place]) {
            snprintf(text, sizeof text, "column '%s' is there twice; keep one", h.names[i]);
            return fail_at(r, r->lines[i], i + 1, text);
        }
        if (place >= 0)
            h.seen[place] = true;
    }
    for (int k = 0; r->columns[k].name; k++)
        if (r->columns[k].required && !h.seen[k])
            return missing(r, &h, k);
    if (!r->talk->notes.n) /* a table may be read twice */
        header_note(&h, r->columns, r->source, &r->talk->notes);
    r->header_cells = r->cells;
    return true;
}

/* Does the cell, not yet trimmed, begin with the sign that our writers put there? */
static bool is_defused(char *s)
{
    s = first_seen(s);
    return *s == '\'' && table_runs(s + 1);
}

static bool row_is_empty(struct reader *r)
{
    for (int i = 0; i < r->cells; i++)
        if (*first_seen(r->text.p + r->at[i]))
            return false;
    return true;
}

static void say_too_many(struct reader *r, int cell)
{
    const bool tab = r->separator == '\t', comma = r->separator == ',';
    char text[200];
    snprintf(text, sizeof text,
             "%d cells, but the header names %d columns; a cell with a %s in it needs quotes "
             "(\"a%s b\")",
             r->cells, r->header_cells,
             comma ? "comma"
             : tab ? "tab"
                   : "semicolon",
             comma ? ","
             : tab ? "\t"
                   : ";");
    wrong_at(r, r->lines[cell], cell + 1, text);
}

/* Once: the cells that it lacks are empty ones, which clear what was there. */
static void say_short(struct reader *r)
{
    bool known = false; /* is one of them read? */
    for (int i = r->cells; i < r->header_cells; i++)
        known |= r->place[i] >= 0;
    if (!known || (r->talk->notes.n && strstr(r->talk->notes.p, "fewer cells than")))
        return;
    buf_printf(&r->talk->notes,
               "%s:%d: fewer cells than the first line names (%d of %d); those that are not there "
               "count as empty\n",
               r->source, r->lines[0], r->cells, r->header_cells);
}

/* False when the row has more cells than the header has names. */
static bool map_row(struct reader *r, struct table_row *row)
{
    for (int k = 0; r->columns[k].name; k++) {
        row->cell[k] = "";
        row->cell_line[k] = row->line;
    }
    for (int i = 0; i < r->header_cells; i++)
        if (r->place[i] >= 0)
            row->cell_column[r->place[i]] = i + 1;
    if (r->cells < r->header_cells)
        say_short(r);
    for (int i = 0; i < r->cells; i++) {
        const bool ours = is_defused(r->text.p + r->at[i]);
        char *cell = trimmed(r->text.p + r->at[i]);
        if (i >= r->header_cells && *cell) {
            say_too_many(r, i);
            return false;
        }
        int place = i < r->header_cells ? r->place[i] : -1;
        if (place < 0)
            continue;
        row->cell[place] = cell + (ours && *cell);
        row->cell_line[place] = r->lines[i];
    }
    return true;
}

static void read_row(struct reader *r)
{
    struct table_row row = {.source = r->source,
                            .columns = r->columns,
                            .line = r->lines[0],
                            .decimal_comma = r->separator != ',',
                            .talk = r->talk};
    const size_t wrong = r->talk->n_wrong;
    r->rows++;
    if (map_row(r, &row) && r->fn(r->ctx, &row, r->e))
        return;
    r->told = r->talk->n_wrong > wrong;
    r->failed = !r->told || !r->all;
}

static void on_cell(void *bytes, size_t n, void *ctx)
{
    struct reader *r = ctx;
    if (r->failed)
        return;
    if (r->cells == HEADER_CELLS) {
        fail_at(r, r->line, HEADER_CELLS, "more than 64 columns; is this the right file?");
        return;
    }
    r->at[r->cells] = r->text.n;
    r->lines[r->cells++] = r->cell_start;
    buf_add(&r->text, bytes, n);
    buf_char(&r->text, '\0');
    r->cell_start = r->line;
    r->in_row = true;
}

static void on_row(int ending, void *ctx)
{
    (void)ending;
    struct reader *r = ctx;
    if (!r->failed && r->cells > 0 && !row_is_empty(r)) {
        if (!r->header_cells)
            read_header(r);
        else
            read_row(r);
    }
    r->cells = 0;
    r->in_row = false;
    buf_clear(&r->text);
}

/* Feeds line by line, so that every cell knows the line it began on. */
static void feed(struct reader *r, struct csv_parser *p, const char *bytes, size_t n)
{
    bool in_quote = false;
    for (size_t from = 0; from < n && !r->failed;) {
        size_t to = from;
        bool odd = false;
        while (to < n && bytes[to] != '\n' && bytes[to] != '\r')
            odd ^= bytes[to++] == '"';
        if (to < n)
            to += bytes[to] == '\r' && to + 1 < n && bytes[to + 1] == '\n' ? 2 : 1;
        r->line++;
        if (!r->in_row && !in_quote)
            r->cell_start = r->line;
        in_quote ^= odd;
        if (csv_parse(p, bytes + from, to - from, on_cell, on_row, r) != to - from && !r->failed)
            fail_at(r, r->line, r->cells + 1,
                    "a stray quote (\") in a cell; put the cell in quotes and write the quote "
                    "twice (\"5\"\" mute\")");
        from = to;
    }
}

/* Line and cell, from 1, of a byte of a file that cannot be read as a table. */
static void place_of(const char *bytes, size_t at, char separator, int *line, int *cell)
{
    bool quoted = false;
    *line = *cell = 1;
    for (size_t i = 0; i < at; i++) {
        bool ends = bytes[i] == '\n' || (bytes[i] == '\r' && bytes[i + 1] != '\n');
        quoted ^= bytes[i] == '"';
        *line += ends;
        if (ends && !quoted)
            *cell = 1;
        else if (bytes[i] == separator && !quoted)
            ++*cell;
    }
}

static bool check_text(const struct table_text *t, char separator, struct err *e)
{
    const char *bytes = t->n ? t->bytes : "";
    const size_t n = t->n;
    if (n >= 2 && (memcmp(bytes, "\xff\xfe", 2) == 0 || memcmp(bytes, "\xfe\xff", 2) == 0))
        return err_set(e, ERR_INPUT,
                       "%s:1: this is UTF-16 text; save it as 'CSV UTF-8', or choose UTF-8 as the "
                       "character set when saving as text",
                       t->source);
    if (n >= 4 && memcmp(bytes, "PK\3\4", 4) == 0)
        return err_set(e, ERR_INPUT, "%s: this is a spreadsheet file; export it as CSV", t->source);
    size_t bad = utf8_check(bytes, n);
    const char *nul = memchr(bytes, '\0', n);
    if (nul && (size_t)(nul - bytes) < bad)
        bad = (size_t)(nul - bytes);
    if (bad == n)
        return true;
    int line, cell;
    place_of(bytes, bad, separator, &line, &cell);
    return err_set(e, ERR_INPUT, "%s:%d:%d: not UTF-8 text (byte 0x%02x); save it as 'CSV UTF-8'",
                   t->source, line, cell, (unsigned char)bytes[bad]);
}

/* What is missing when all was read. */
static void check_rows(struct reader *r)
{
    char names[200], text[300];
    if (!r->failed && !r->header_cells) {
        header_names(r->columns, names, sizeof names);
        snprintf(text, sizeof text, "the file is empty; its first line must name the columns: %s",
                 names);
        fail_at(r, 1, 1, text);
    }
    if (!r->failed && !r->rows) {
        r->failed = true;
        err_set(r->e, ERR_INPUT, "%s: no rows under the header; nothing to add", r->source);
    }
}

static bool read_all(struct reader *r, const struct table_text *text)
{
    struct csv_parser p;
    if (csv_init(&p, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return err_set(r->e, ERR_FAILED, "%s: the CSV reader could not start", r->source);
    csv_set_delim(&p, (unsigned char)r->separator);
    feed(r, &p, text->bytes, text->n);
    if (!r->failed && csv_fini(&p, on_cell, on_row, r) != 0)
        fail_at(r, r->cell_start, r->cells + 1, "a quote (\") is opened here and never closed");
    check_rows(r);
    csv_free(&p);
    return (r->failed && !r->told) ? false : table_sound(r->talk, r->source, r->all, r->e);
}

bool table_read(const struct table_text *whole, const struct table_column *columns,
                table_row_fn *fn, void *ctx, struct err *e)
{
    struct table_text text = *whole;
    if (text.n >= 3 && memcmp(text.bytes, "\xef\xbb\xbf", 3) == 0) {
        text.bytes += 3;
        text.n -= 3;
    }
    const struct header_signs signs = header_signs(&text, columns);
    if (!check_text(&text, signs.separator, e))
        return false;
    text.bytes += signs.skip;
    text.n -= signs.skip;
    struct table_talk own = {0};
    struct reader *r = xcalloc(1, sizeof *r);
    *r = (struct reader){.source = text.source,
                         .columns = columns,
                         .fn = fn,
                         .ctx = ctx,
                         .talk = text.talk ? text.talk : &own,
                         .all = text.talk != NULL,
                         .e = e,
                         .separator = signs.separator,
                         .line = signs.skip > 0};
    bool ok = read_all(r, &text);
    buf_free(&r->text);
    free(r);
    table_talk_free(&own);
    return ok;
}
