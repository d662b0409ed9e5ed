#include "show/table.h"

#include <csv.h>
#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/near.h"
#include "base/utf8.h"

enum { CELLS = 64 }; /* cells of a row as written, before the header maps them */

struct reader {
    const char *source;
    const struct table_column *columns;
    table_row_fn *fn;
    void *ctx;
    struct err *e;
    bool failed;
    int line;       /* the line being fed */
    int cell_start; /* the line on which the cell being read began */
    bool in_row;
    struct buf text; /* the row's cells, NUL between them */
    size_t at[CELLS];
    int lines[CELLS];
    int cells;
    int place[CELLS]; /* header: position in `columns`, or -1 */
    int header_cells; /* 0 until the header was read */
    size_t rows;
};

static bool fail_at(struct reader *r, int line, int column, const char *text)
{
    r->failed = true;
    return err_set(r->e, ERR_INPUT, "%s:%d:%d: %s", r->source, line, column, text);
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

static int column_named(const struct table_column *columns, const char *name)
{
    for (int i = 0; columns[i].name; i++)
        if (strcasecmp(columns[i].name, name) == 0)
            return i;
    return -1;
}

static void list_names(const struct table_column *columns, char *out, size_t size)
{
    size_t n = 0;
    out[0] = '\0';
    for (int i = 0; columns[i].name && n < size; i++)
        n += (size_t)snprintf(out + n, size - n, "%s%s", i ? "," : "", columns[i].name);
}

static bool header_cell(struct reader *r, int i, bool seen[TABLE_COLUMNS])
{
    char *name = trimmed(r->text.p + r->at[i]), text[300];
    int place = column_named(r->columns, name);
    r->place[i] = place;
    if (place >= 0 && seen[place]) {
        snprintf(text, sizeof text, "column '%s' is there twice; keep one", name);
        return fail_at(r, r->lines[i], i + 1, text);
    }
    if (place >= 0) {
        seen[place] = true;
        return true;
    }
    struct near near = {.word = name};
    for (int k = 0; r->columns[k].name; k++)
        near_offer(&near, r->columns[k].name);
    bool alike = near.best && near.distance < (int)strlen(name); /* '#' is not a mistyped 'x' */
    if (alike && !seen[column_named(r->columns, near.best)]) {
        snprintf(text, sizeof text, "no column '%s' is known%s", name, near_said(&near, "").text);
        return fail_at(r, r->lines[i], i + 1, text);
    }
    return true; /* a column of the staff's own: left alone */
}

static bool read_header(struct reader *r)
{
    bool seen[TABLE_COLUMNS] = {false};
    char names[200], text[400];
    list_names(r->columns, names, sizeof names);
    for (int i = 0; i < r->cells; i++)
        if (!header_cell(r, i, seen))
            return false;
    for (int k = 0; r->columns[k].name; k++) {
        if (!r->columns[k].required || seen[k])
            continue;
        bool semicolons = r->cells == 1 && strchr(r->text.p, ';');
        snprintf(text, sizeof text,
                 semicolons ? "no column '%s': the cells are separated by ';'; save the table with "
                              "commas (header: %s)"
                            : "no column '%s'; the first line must name the columns: %s",
                 r->columns[k].name, names);
        return fail_at(r, r->lines[0], 1, text);
    }
    r->header_cells = r->cells;
    return true;
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

bool table_runs(const char *text)
{
    text += strspn(text, "'");
    return *text && strchr("=+-@\t\r", *text) && !is_number(text);
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

static bool read_row(struct reader *r)
{
    struct table_row row = {.source = r->source, .columns = r->columns, .line = r->lines[0]};
    char text[200];
    for (int k = 0; r->columns[k].name; k++) {
        row.cell[k] = "";
        row.cell_line[k] = row.line;
    }
    for (int i = 0; i < r->header_cells; i++)
        if (r->place[i] >= 0)
            row.cell_column[r->place[i]] = i + 1;
    for (int i = 0; i < r->cells; i++) {
        const bool ours = is_defused(r->text.p + r->at[i]);
        char *cell = trimmed(r->text.p + r->at[i]);
        if (i >= r->header_cells && *cell) {
            snprintf(text, sizeof text,
                     "%d cells, but the header names %d columns; a cell with a comma in it needs "
                     "quotes (\"a, b\")",
                     r->cells, r->header_cells);
            return fail_at(r, r->lines[i], i + 1, text);
        }
        int place = i < r->header_cells ? r->place[i] : -1;
        if (place < 0)
            continue;
        row.cell[place] = cell + (ours && *cell);
        row.cell_line[place] = r->lines[i];
    }
    r->rows++;
    if (!r->fn(r->ctx, &row, r->e))
        r->failed = true;
    return !r->failed;
}

static void on_cell(void *bytes, size_t n, void *ctx)
{
    struct reader *r = ctx;
    if (r->failed)
        return;
    if (r->cells == CELLS) {
        fail_at(r, r->line, CELLS, "more than 64 columns; is this the right file?");
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
static void place_of(const char *bytes, size_t at, int *line, int *cell)
{
    bool quoted = false;
    *line = *cell = 1;
    for (size_t i = 0; i < at; i++) {
        bool ends = bytes[i] == '\n' || (bytes[i] == '\r' && bytes[i + 1] != '\n');
        quoted ^= bytes[i] == '"';
        *line += ends;
        if (ends && !quoted)
            *cell = 1;
        else if (bytes[i] == ',' && !quoted)
            ++*cell;
    }
}

static bool check_text(const char *bytes, size_t n, const char *source, struct err *e)
{
    if (n >= 2 && (memcmp(bytes, "\xff\xfe", 2) == 0 || memcmp(bytes, "\xfe\xff", 2) == 0))
        return err_set(e, ERR_INPUT, "%s:1: this is UTF-16 text; save it as 'CSV UTF-8'", source);
    if (n >= 4 && memcmp(bytes, "PK\3\4", 4) == 0)
        return err_set(e, ERR_INPUT, "%s: this is a spreadsheet file; export it as CSV", source);
    size_t bad = utf8_check(bytes, n);
    const char *nul = memchr(bytes, '\0', n);
    if (nul && (size_t)(nul - bytes) < bad)
        bad = (size_t)(nul - bytes);
    if (bad == n)
        return true;
    int line, cell;
    place_of(bytes, bad, &line, &cell);
    return err_set(e, ERR_INPUT, "%s:%d:%d: not UTF-8 text (byte 0x%02x); save it as 'CSV UTF-8'",
                   source, line, cell, (unsigned char)bytes[bad]);
}

bool table_read(const struct table_text *whole, const struct table_column *columns,
                table_row_fn *fn, void *ctx, struct err *e)
{
    const char *bytes = whole->bytes, *source = whole->source;
    size_t n = whole->n;
    if (!check_text(n ? bytes : "", n, source, e))
        return false;
    if (n >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0) {
        bytes += 3;
        n -= 3;
    }
    struct csv_parser p;
    if (csv_init(&p, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return err_set(e, ERR_FAILED, "%s: the CSV reader could not start", source);
    struct reader *r = xcalloc(1, sizeof *r);
    *r = (struct reader){.source = source, .columns = columns, .fn = fn, .ctx = ctx, .e = e};
    feed(r, &p, bytes, n);
    if (!r->failed && csv_fini(&p, on_cell, on_row, r) != 0)
        fail_at(r, r->cell_start, r->cells + 1, "a quote (\") is opened here and never closed");
    if (!r->failed && !r->header_cells) {
        char names[200], text[300];
        list_names(columns, names, sizeof names);
        snprintf(text, sizeof text, "the file is empty; its first line must name the columns: %s",
                 names);
        fail_at(r, 1, 1, text);
    }
    if (!r->failed && !r->rows) {
        r->failed = true;
        err_set(e, ERR_INPUT, "%s: no rows under the header; nothing to add", source);
    }
    bool ok = !r->failed;
    csv_free(&p);
    buf_free(&r->text);
    free(r);
    return ok;
}

bool table_same(const char *stored, const char **given)
{
    unsigned char a = (unsigned char)*stored, b = (unsigned char)**given;
    if (a < 0x80 && b < 0x80 && tolower(a) != tolower(b)) /* long lists: most are told apart here */
        return false;
    if (utf8_casecmp(stored, *given) != 0)
        return false;
    if (strcasecmp(stored, *given) != 0)
        *given = stored;
    return true;
}

bool table_error(const struct table_row *row, int column, struct err *e, const char *fmt, ...)
{
    char text[400];
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    int place = row->cell_column[column];
    return err_set(e, ERR_INPUT, "%s:%d:%d: %s: %s", row->source, row->cell_line[column],
                   place ? place : 1, row->columns[column].name, text);
}

bool table_truth(const struct table_row *row, int column, bool *out, struct err *e)
{
    static const char *const yes[] = {"yes", "y", "true", "1", "x"};
    static const char *const no[] = {"", "no", "n", "false", "0"};
    enum { WORDS = sizeof yes / sizeof *yes };
    for (size_t i = 0; i < WORDS; i++) {
        *out = strcasecmp(row->cell[column], yes[i]) == 0;
        if (*out || strcasecmp(row->cell[column], no[i]) == 0)
            return true;
    }
    return table_error(row, column, e, "'%s' is neither yes nor no", row->cell[column]);
}

bool table_number(const struct table_row *row, int column, struct table_range range, double *out,
                  struct err *e)
{
    const char *s = row->cell[column];
    *out = range.empty;
    if (!*s)
        return true;
    char *end;
    errno = 0;
    double x = strtod(s, &end);
    bool plain = strspn(s, "0123456789.+-eE") == strlen(s);
    if (end == s || *end || errno || !isfinite(x) || !plain)
        return table_error(row, column, e, "'%s' is not a number%s", s,
                           strchr(s, ',') ? "; write the decimals with a point" : "");
    if (x < range.least || x > range.most)
        return table_error(row, column, e, "%s is outside %g to %g", s, range.least, range.most);
    *out = x;
    return true;
}
