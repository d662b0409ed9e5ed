/* What a column is, whatever it is written as. */
#ifndef PAPER_COLUMN_H
#define PAPER_COLUMN_H

#include <stdbool.h>

#include "base/buf.h"

enum column_kind {
    COLUMN_TEXT,   /* cell */
    COLUMN_MAYBE,  /* cell; without one null */
    COLUMN_WHOLE,  /* number, without a fraction */
    COLUMN_NUMBER, /* number; not known is an empty cell and null */
    COLUMN_TRUTH,  /* number 0 or 1; "yes" or an empty cell, true or false */
};

enum { IN_CSV = 1, IN_JSON = 2, IN_BOTH = IN_CSV | IN_JSON };

struct json_t; /* jansson's */

struct column {
    const char *name; /* in CSV and in help */
    const char *key;  /* in JSON; NULL: as the name */
    const char *help; /* what it says, for --help and the man page */
    enum column_kind kind;
    int where; /* IN_CSV ...; where a column is in JSON only it may be a list */
    void (*cell)(const void *row, struct buf *out);
    bool (*number)(const void *row, double *out);    /* false: not known */
    const char *format;                              /* of a number in CSV; NULL: "%.12g" */
    double unit;                                     /* a number in JSON is rounded to; 0: not */
    void (*json)(const void *row, struct json_t *o); /* adds its members itself */
};

#endif
