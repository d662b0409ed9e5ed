#include <ctype.h>
#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "demo/table.h"
#include "sys/file.h"

enum { FILE_MOST = 4 << 20 };

struct reader {
    struct arena *a;
    struct table *t;
    size_t cap;
    int column;
    bool wide;
};

static void take_field(void *bytes, size_t n, void *ctx)
{
    struct reader *r = ctx;
    if (r->column == 0) {
        r->t->row = array_grow(r->t->row, r->t->n, &r->cap, sizeof *r->t->row);
        for (int i = 0; i < TABLE_COLUMNS; i++)
            r->t->row[r->t->n][i] = "";
    }
    if (r->column < TABLE_COLUMNS)
        r->t->row[r->t->n][r->column] = arena_strndup(r->a, bytes ? bytes : "", n);
    else
        r->wide = true;
    r->column++;
}

static void take_row(int end, void *ctx)
{
    struct reader *r = ctx;
    (void)end;
    if (r->column > 0)
        r->t->n++;
    r->column = 0;
}

static bool header_begins(const struct table *t, const char *columns)
{
    struct buf have = {0};
    for (int i = 0; i < TABLE_COLUMNS && t->n > 0 && t->row[0][i][0]; i++)
        buf_printf(&have, "%s,", t->row[0][i]);
    const size_t n = strlen(columns);
    const bool begins = strncmp(buf_text(&have), columns, n) == 0 && buf_text(&have)[n] == ',';
    buf_free(&have);
    return begins;
}

static bool parse(struct reader *r, const struct buf *bytes)
{
    struct csv_parser p;
    if (csv_init(&p, CSV_APPEND_NULL) != 0)
        return false;
    const bool ok = csv_parse(&p, buf_text(bytes), bytes->n, take_field, take_row, r) == bytes->n &&
                    csv_fini(&p, take_field, take_row, r) == 0;
    csv_free(&p);
    return ok && !r->wide;
}

bool table_read(struct arena *a, const char *dir, const char *file, const char *columns,
                struct table *out, struct err *e)
{
    struct buf bytes = {0};
    struct reader r = {.a = a, .t = out};
    *out = (struct table){.path = arena_printf(a, "%s/%s", dir, file)};
    if (!file_read(out->path, FILE_MOST, &bytes, e))
        return false;
    bool ok = parse(&r, &bytes);
    buf_free(&bytes);
    void *heap = out->row;
    if (!ok)
        err_set(e, ERR_INPUT, "%s: not a table; see RFC 4180", out->path);
    else if (!(ok = header_begins(out, columns)))
        err_set(e, ERR_INPUT, "%s: the first row must begin with %s", out->path, columns);
    if (ok) {
        out->n--;
        out->row = arena_alloc(a, out->n * sizeof *out->row);
        memcpy(out->row, (const char *(*)[TABLE_COLUMNS])heap + 1, out->n * sizeof *out->row);
    }
    free(heap);
    return ok;
}

bool table_error(const struct table *t, size_t row, struct err *e, const char *fmt, ...)
{
    char text[400];
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    return err_set(e, ERR_INPUT, "%s:%zu: %s", t->path, row + 2, text);
}

bool table_number(const struct table *t, size_t row, int column, double empty, double *out,
                  struct err *e)
{
    const char *s = t->row[row][column];
    char *end;
    *out = empty;
    if (!*s)
        return true;
    *out = strtod(s, &end);
    return *end == '\0' || table_error(t, row, e, "'%s' is not a number", s);
}

size_t table_split(struct arena *a, const char *cell, char separator, const char ***out)
{
    size_t n = 1, i = 0;
    for (const char *s = cell; *s; s++)
        n += *s == separator;
    *out = arena_alloc(a, n * sizeof **out);
    for (const char *s = cell; *s;) {
        while (isspace((unsigned char)*s))
            s++;
        const char *stop = strchr(s, separator);
        size_t len = stop ? (size_t)(stop - s) : strlen(s);
        const size_t skip = len + (stop != NULL);
        while (len > 0 && isspace((unsigned char)s[len - 1]))
            len--;
        if (len > 0)
            (*out)[i++] = arena_strndup(a, s, len);
        s += skip;
    }
    return i;
}
