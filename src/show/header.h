/* The first line of a table: what separates its cells, and which columns it names. */
#ifndef SHOW_HEADER_H
#define SHOW_HEADER_H

#include "show/table.h"

struct header_signs {
    char separator; /* ',' ';' or tab */
    size_t skip;    /* bytes of a line "sep=;" that spreadsheets write for each other, 0 without */
};

/* The separator that line "sep=" says; else the one that makes most names of known columns of the
 * first line with text in it; else the one that stands there most often. */
struct header_signs header_signs(const struct table_text *text, const struct table_column *columns);

/* Position of the column of that name, letter case ignored, or -1. */
int header_column(const struct table_column *columns, const char *name);

/* "a,b,c" */
void header_names(const struct table_column *columns, char *out, size_t size);

enum { HEADER_CELLS = 64 }; /* cells of a row as written, before the header maps them */

/* What was found of a header that is read cell by cell. */
struct header {
    const char *names[HEADER_CELLS]; /* as they are written, trimmed */
    int cells;
    int place[HEADER_CELLS];  /* position in the columns, or -1 */
    bool seen[TABLE_COLUMNS]; /* by position in the columns */
};

/* The column that a name which is not known may stand for: nearly its name, and missing; or -1. */
int header_meant(const struct header *h, const struct table_column *columns, const char *name);

/* A line about columns of the staff's own that are passed over, and about those that nearly are
 * known ones; nothing when there are none. */
void header_note(const struct header *h, const struct table_column *columns, const char *source,
                 struct buf *out);

#endif
