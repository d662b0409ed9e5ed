/* Is a change set whole? SQLite's own reader goes on for ever over one whose table name has no end,
 * and show files are passed around. The format is the one written down at the head of SQLite's
 * sqlite3session.c: 'T', the number of columns (varint), a byte for each that says whether it is of
 * the primary key, the table's name and a zero byte; then the changes of that table: the operation,
 * a byte 'indirect', and one row of values (two for an update). */
#include <string.h>

#include "store/inside.h"

enum {
    COLUMNS_MOST = 2000,
    VALUE_NONE = 0,
    VALUE_INT,
    VALUE_REAL,
    VALUE_TEXT,
    VALUE_BLOB,
    VALUE_NULL
};

struct walker {
    const unsigned char *p, *end;
};

static bool take(struct walker *w, size_t n)
{
    if ((size_t)(w->end - w->p) < n)
        return false;
    w->p += n;
    return true;
}

/* Seven bits a byte, the high one says that more follow; a length needs no more than five. */
static bool take_varint(struct walker *w, size_t *out)
{
    *out = 0;
    for (int i = 0; i < 5 && w->p < w->end; i++) {
        const unsigned char byte = *w->p++;
        *out = *out << 7 | (byte & 0x7f);
        if (byte < 0x80)
            return true;
    }
    return false;
}

static bool take_value(struct walker *w)
{
    size_t n;
    if (w->p == w->end)
        return false;
    switch (*w->p++) {
    case VALUE_NONE:
    case VALUE_NULL:
        return true;
    case VALUE_INT:
    case VALUE_REAL:
        return take(w, 8);
    case VALUE_TEXT:
    case VALUE_BLOB:
        return take_varint(w, &n) && take(w, n);
    default:
        return false;
    }
}

static bool take_header(struct walker *w, size_t *columns)
{
    if (!take(w, 1) || !take_varint(w, columns) || *columns == 0 || *columns > COLUMNS_MOST ||
        !take(w, *columns))
        return false;
    const unsigned char *name_end = memchr(w->p, '\0', (size_t)(w->end - w->p));
    return name_end && take(w, (size_t)(name_end - w->p) + 1);
}

static bool take_change(struct walker *w, size_t columns)
{
    const int op = *w->p;
    if ((op != SQLITE_INSERT && op != SQLITE_DELETE && op != SQLITE_UPDATE) || !take(w, 2))
        return false;
    const size_t values = columns * (op == SQLITE_UPDATE ? 2 : 1);
    for (size_t i = 0; i < values; i++)
        if (!take_value(w))
            return false;
    return true;
}

bool changes_whole(const void *changes, size_t n)
{
    struct walker w = {changes, (const unsigned char *)changes + n};
    size_t columns = 0;
    while (w.p < w.end)
        if (*w.p == 'T' ? !take_header(&w, &columns) : columns == 0 || !take_change(&w, columns))
            return false;
    return n > 0;
}
