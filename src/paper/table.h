/* A table of results: one row of this kind for each column, from which CSV, JSON, --help and the man
 * page come. Adding a column is adding a row; adding a format is adding a writer here. */
#ifndef PAPER_TABLE_H
#define PAPER_TABLE_H

#include <jansson.h>
#include <stdbool.h>

#include "base/buf.h"
#include "paper/column.h"

/* The header, and a row, as CSV (RFC 4180). */
void table_csv_head(const struct column *columns, struct buf *out);
void table_csv_row(const struct column *columns, const void *row, struct buf *out);
/* What those two wrote, for spreadsheets whose decimal sign is the comma: semicolons between the
 * cells, and a decimal comma in the numbers of number columns, never in a text. */
void table_semicolons(const struct column *columns, struct buf *csv);
/* A row as a JSON object; the reference is the caller's. */
json_t *table_json(const struct column *columns, const void *row);

#endif
