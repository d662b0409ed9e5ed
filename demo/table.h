/* The demo's own small CSV reader (RFC 4180 through libcsv), apart from the one under src/ so that
 * a test of that one can be compared with what the demo understood. */
#ifndef DEMO_TABLE_H
#define DEMO_TABLE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"

enum { TABLE_COLUMNS = 10 };

struct table {
    const char *path;
    size_t n; /* rows after the header */
    const char *(*row)[TABLE_COLUMNS];
};

/* Reads DIR/FILE; its header must begin with `columns` (comma-separated, as in the file): what
 * stands behind them (how a name sounds, say) draws nothing. Strings live in the arena. */
bool table_read(struct arena *a, const char *dir, const char *file, const char *columns,
                struct table *out, struct err *e);
/* "path:row: ..." with ERR_INPUT; returns false. Row numbers count the header as 1. */
bool table_error(const struct table *t, size_t row, struct err *e, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));
/* A cell as a number; an empty cell gives `empty`. */
bool table_number(const struct table *t, size_t row, int column, double empty, double *out,
                  struct err *e);
/* Cuts a cell at each `separator` into words without white space around; returns how many. */
size_t table_split(struct arena *a, const char *cell, char separator, const char ***out);

#endif
