/* Tables as spreadsheets save them: RFC 4180, read through libcsv.
 *
 * UTF-8 with or without byte order mark, CRLF, LF or CR, quoted newlines. The first row names the
 * columns, in any order and any letter case; empty rows are passed over. Errors name
 * file:line:column, the cell, and what to do about it. */
#ifndef SHOW_TABLE_H
#define SHOW_TABLE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

struct table_column {
    const char *name;
    bool required; /* the header must have it; others read as "" when missing */
};

enum { TABLE_COLUMNS = 16 };

struct table_row {
    const char *source; /* file name for messages */
    const struct table_column *columns;
    int line;                        /* first line of the row, 1-based */
    const char *cell[TABLE_COLUMNS]; /* by position in the column table, white space trimmed */
    int cell_line[TABLE_COLUMNS];    /* line the cell starts on */
    int cell_column[TABLE_COLUMNS];  /* its place in the row, 1-based; 0 when the header lacks it */
};

/* Called for every row after the header; cells live until it returns. */
typedef bool table_row_fn(void *ctx, const struct table_row *row, struct err *e);

/* columns ends with a row whose name is NULL. A table without rows is refused. */
bool table_read(const char *bytes, size_t n, const char *source, const struct table_column *columns,
                table_row_fn *fn, void *ctx, struct err *e);

/* The columns that the header lacks, as bits by position in the column table. */
unsigned table_absent(const struct table_row *row);

/* Is it the stored row of that name, letter case ignored? The store knows a row by its name with
 * ASCII letter case ignored, people with any: "émile" becomes the Émile that is there. */
bool table_same(const char *stored, const char **given);

/* "source:line:column: column NAME: text" with ERR_INPUT; returns false. */
bool table_error(const struct table_row *row, int column, struct err *e, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));

/* Would a spreadsheet run the cell as a formula (= + - @ tab, and not a plain number)? Our writers
 * put a ' before such a text, and before one that begins with that sign and such a text;
 * table_read() takes exactly that sign off again. */
bool table_runs(const char *text);

/* A cell as a number in [least, most]; an empty cell gives `empty`. what: "counts", "tempo in bpm".
 */
bool table_number(const struct table_row *row, int column, double least, double most, double empty,
                  double *out, struct err *e);

#endif
