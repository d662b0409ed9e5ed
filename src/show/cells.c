/* What a cell says, and what is wrong with it. */
#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/utf8.h"
#include "show/table.h"

/* --- what is wrong ---------------------------------------------------------------------------- */

void table_wrong(struct table_talk *talk, const struct err *e)
{
    if (!talk)
        return;
    if (talk->n_wrong++ - talk->n_again < TABLE_NAMED)
        buf_printf(&talk->wrong, "%s\n", e->text);
}

bool table_sound(const struct table_talk *talk, const char *source, bool all, struct err *e)
{
    char more[80] = "";
    if (talk->n_wrong == 0)
        return true;
    if (!all || talk->n_wrong == 1)
        return err_set(e, ERR_INPUT, "%.*s", (int)strcspn(talk->wrong.p, "\n"), talk->wrong.p);
    if (talk->n_wrong - talk->n_again > TABLE_NAMED)
        snprintf(more, sizeof more, ", the first %d are named above and %zu more are there",
                 TABLE_NAMED, talk->n_wrong - TABLE_NAMED);
    else if (talk->n_again)
        snprintf(more, sizeof more, ", and %zu of these say again what is named above",
                 talk->n_again);
    return err_set(e, ERR_INPUT, "%s: %zu %s are wrong%s; nothing of it was taken", source,
                   talk->n_wrong, talk->no_rows ? "things" : "cells", more);
}

void table_talk_free(struct table_talk *talk)
{
    buf_free(&talk->notes);
    buf_free(&talk->wrong);
    buf_free(&talk->items);
}

/* Items are written by programs, which say a wrong word in all of them: it is named once. */
static bool said_before(const struct table_row *row, int column, const char *text)
{
    struct table_talk *talk = row->talk;
    struct buf line = {0};
    if (!row->item || !talk || !*row->cell[column])
        return false;
    buf_printf(&line, "\n%s: %s\n", row->columns[column].name, text);
    const bool before = talk->items.n && strstr(talk->items.p, line.p);
    if (!before)
        buf_str(&talk->items, line.p);
    buf_free(&line);
    return before;
}

bool table_error(const struct table_row *row, int column, struct err *e, const char *fmt, ...)
{
    char text[400];
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    int place = row->cell_column[column];
    if (row->item)
        err_set(e, ERR_INPUT, "%s: %s: %s: %s", row->source, row->item, row->columns[column].name,
                text);
    else
        err_set(e, ERR_INPUT, "%s:%d:%d: %s: %s", row->source, row->cell_line[column],
                place ? place : 1, row->columns[column].name, text);
    if (said_before(row, column, text)) {
        row->talk->n_wrong++;
        row->talk->n_again++;
    } else {
        table_wrong(row->talk, e);
    }
    return false;
}

/* --- what it says ----------------------------------------------------------------------------- */

bool table_ours(const struct table_column *column)
{
    return column->help && !*column->help;
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

const char *table_points(const struct table_row *row, const char *text, struct table_points *out)
{
    if (!row->decimal_comma || strlen(text) >= sizeof out->text)
        return text;
    strcpy(out->text, text);
    for (char *s = strchr(out->text, ','); s; s = strchr(s + 1, ','))
        if (s > out->text && isdigit((unsigned char)s[-1]) && isdigit((unsigned char)s[1]))
            *s = '.';
    return out->text;
}

bool table_number(const struct table_row *row, int column, struct table_range range, double *out,
                  struct err *e)
{
    struct table_points points;
    const char *cell = row->cell[column], *s = table_points(row, cell, &points);
    *out = range.empty;
    if (!*s)
        return true;
    char *end;
    errno = 0;
    double x = strtod(s, &end);
    bool plain = strspn(s, "0123456789.+-eE") == strlen(s);
    if (end == s || *end || errno || !isfinite(x) || !plain)
        return table_error(
            row, column, e, "'%s' is not a number%s", cell,
            strchr(cell, ',') && !row->decimal_comma ? "; write the decimals with a point" : "");
    if (x < range.least || x > range.most)
        return table_error(row, column, e, "%s is outside %g to %g", cell, range.least, range.most);
    *out = x;
    return true;
}
