#include <ctype.h>
#include <string.h>

#include "paper/table.h"

/* "-12.5", "1e-05": what a spreadsheet takes for a number where the decimals follow a point. */
static bool is_number(const char *s, size_t n)
{
    size_t i = 0, digits = 0;
    i += i < n && (s[i] == '-' || s[i] == '+');
    for (bool point = false; i < n && (isdigit((unsigned char)s[i]) || (s[i] == '.' && !point));
         i++) {
        point |= s[i] == '.';
        digits += s[i] != '.';
    }
    if (digits > 0 && i + 1 < n && s[i] == 'e') {
        i += 1 + (s[i + 1] == '-' || s[i + 1] == '+');
        for (digits = 0; i < n && isdigit((unsigned char)s[i]); i++)
            digits++;
    }
    return digits > 0 && i == n;
}

/* Bytes of the cell at s, in quotes or not; n > 0. */
static size_t cell_length(const char *s, size_t n)
{
    size_t i = 0;
    bool quoted = false;
    for (; i < n && (quoted || !strchr(",\r\n", s[i])); i++)
        quoted ^= s[i] == '"';
    return i;
}

static void put_cell(const char *s, size_t n, bool number, struct buf *out)
{
    const size_t sign = n > 0 && *s == '\''; /* a number that a spreadsheet would run */
    const bool quote = n > 0 && *s != '"' && memchr(s, ';', n);
    number = number && is_number(s + sign, n - sign);
    if (quote)
        buf_char(out, '"');
    for (size_t i = 0; i < n; i++)
        buf_char(out, number && s[i] == '.' ? ',' : s[i]);
    if (quote)
        buf_char(out, '"');
}

void table_semicolons(const struct column *columns, struct buf *csv)
{
    struct buf out = {0};
    const struct column *c = columns;
    for (size_t i = 0; i < csv->n;) {
        while (c->name && !(c->where & IN_CSV))
            c++;
        const size_t n = cell_length(csv->p + i, csv->n - i);
        put_cell(csv->p + i, n, c->kind == COLUMN_NUMBER || c->kind == COLUMN_WHOLE, &out);
        i += n;
        if (i < csv->n && csv->p[i] == ',') {
            buf_char(&out, ';');
            c += c->name != NULL;
            i++;
            continue;
        }
        for (; i < csv->n && strchr("\r\n", csv->p[i]); i++)
            buf_char(&out, csv->p[i]);
        c = columns;
    }
    buf_free(csv);
    *csv = out;
}
