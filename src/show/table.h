/* Tables as spreadsheets save them: RFC 4180, read through libcsv, and what they write where the
 * comma is the decimal sign.
 *
 * UTF-8 with or without byte order mark, CRLF, LF or CR, quoted newlines. Cells are separated by
 * commas, semicolons or tabs, whichever the first row shows (a line "sep=;" before it says so); where
 * it is not the comma, "2,5" is a number. The first row names the columns, in any order and any
 * letter case; empty rows are passed over. Errors name file:line:column, the cell, and what to do
 * about it. */
#ifndef SHOW_TABLE_H
#define SHOW_TABLE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/err.h"

struct show;

struct table_row;
struct table_items;

/* A column, and all that is known of it. Adding one is adding a row. */
struct table_column {
    const char *name;
    bool required; /* the header must have it; others read as "" when missing */
    /* What its cells say, for --help and the man page. "": our own lists have the column, and it is
     * passed over without a word. */
    const char *help;
    /* For table_items(); each may be NULL. The cell into the item, columns in their order; false
     * with table_error(). */
    bool (*read)(struct table_items *all, const struct table_row *row, void *item, struct err *e);
    /* The header lacks the column: what the item takes over from the stored one of its name. */
    void (*keep)(const struct table_items *all, void *item, const void *was);
};

enum { TABLE_COLUMNS = 24, TABLE_NAMED = 20 };

/* What is told of a table beside the one error: given zeroed, freed by table_talk_free(). */
struct table_talk {
    struct buf notes; /* a line about columns that are passed over */
    struct buf wrong; /* the first TABLE_NAMED things that are wrong, a line each */
    struct buf items; /* words that were wrong in items that are no rows, a line each */
    size_t n_wrong;   /* all there are */
    size_t n_again;   /* of these, words of items that are named already */
    bool broken;      /* one of them is no cell's, but the table's */
    bool no_rows;     /* they are no table's cells */
};
void table_talk_free(struct table_talk *talk);

struct table_row {
    const char *source; /* file name for messages */
    const struct table_column *columns;
    int line;                        /* first line of the row, 1-based */
    const char *cell[TABLE_COLUMNS]; /* by position in the column table, white space trimmed */
    int cell_line[TABLE_COLUMNS];    /* line the cell starts on */
    int cell_column[TABLE_COLUMNS];  /* its place in the row, 1-based; 0 when the header lacks it */
    const char *item;        /* a row of no table: what it is called, "annotation 3"; NULL */
    bool decimal_comma;      /* "2,5" is a number */
    struct table_talk *talk; /* where table_error() tells it; NULL */
};

/* Called for every row after the header; cells live until it returns. False with table_error(), for
 * as many of its cells as are wrong: the rows behind it are still read, so that all are named. False
 * in another way ends the reading. */
typedef bool table_row_fn(void *ctx, const struct table_row *row, struct err *e);

struct table_text {
    const char *bytes;
    size_t n;
    const char *source;      /* its name in messages */
    struct table_talk *talk; /* NULL: the first wrong cell ends the reading, and is the error */
};

/* Is it a column that our lists have and nobody reads? */
bool table_ours(const struct table_column *column);

/* columns ends with a row whose name is NULL. A table without rows is refused. With a talk, all wrong
 * cells are told there, and the error is the one that is wrong or says how many are. */
bool table_read(const struct table_text *whole, const struct table_column *columns,
                table_row_fn *fn, void *ctx, struct err *e);

/* A table read into items of one kind. */
struct table_items {
    struct arena *a;         /* of the items and their texts */
    const struct show *show; /* what cells may speak of; NULL */
    const struct table_column *columns;
    size_t size; /* of an item */
    void *at;
    size_t n, cap;
    unsigned absent; /* columns that the header lacks, as bits by position */
};

/* Reads the table into all->at, which is the arena's then; a, show, columns and size are given. The
 * first column names the item: one whose name is wrong is left out of a table that is refused. */
bool table_items(struct table_items *all, const struct table_text *text, struct err *e);
void *table_item(const struct table_items *all, size_t i);
/* Does the header lack that column? */
bool table_lacks(const struct table_items *all, int column);
/* What the item takes over from the stored one, for all columns that the header lacks. */
void table_keep(const struct table_items *all, void *item, const void *was);

/* Is it the stored row of that name, letter case ignored? The store knows a row by its name with
 * ASCII letter case ignored, people with any: "émile" becomes the Émile that is there. */
bool table_same(const char *stored, const char **given);

/* "source:line:column: NAME: text", or "source: ITEM: NAME: text", with ERR_INPUT, told in the row's
 * talk; returns false. */
bool table_error(const struct table_row *row, int column, struct err *e, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));

/* Notes that a thing is wrong. */
void table_wrong(struct table_talk *talk, const struct err *e);
/* Is nothing wrong? Else false with e: the one thing that is, or, of all, how many are. */
bool table_sound(const struct table_talk *talk, const char *source, bool all, struct err *e);

/* Would a spreadsheet run the cell as a formula (= + - @ tab, and not a plain number)? Our writers
 * put a ' before such a text, and before one that begins with that sign and such a text;
 * table_read() takes exactly that sign off again. */
bool table_runs(const char *text);

/* A cell that says yes (yes, y, true, 1, x) or no (no, n, false, 0, empty). */
bool table_truth(const struct table_row *row, int column, bool *out, struct err *e);
/* A cell's text with the decimal commas of its table as points; longer ones stay as they are. */
struct table_points {
    char text[200];
};
const char *table_points(const struct table_row *row, const char *text, struct table_points *out);
/* What a number may be; an empty cell gives `empty`. */
struct table_range {
    double least, most, empty;
};
bool table_number(const struct table_row *row, int column, struct table_range range, double *out,
                  struct err *e);

#endif
