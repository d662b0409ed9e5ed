/* The staff's tables on their way into the open show. */
#ifndef APP_TABLES_H
#define APP_TABLES_H

#include "app/app.h"

enum table_how {
    TABLE_ADD,     /* updates and adds; removes nothing */
    TABLE_REPLACE, /* the stored table becomes this one */
    TABLE_FIRST,   /* the same in a new show: nothing that undo takes back */
    TABLE_LOOK,    /* what a replace would do: everything is tried, nothing is written */
};

struct table_report {
    struct put_report rows;
    long dots, ties; /* that go with what was removed */
};

/* "sections" "roster" "faults" "sets" "dots"; NULL ends them. */
extern const char *const table_names[];

/* Puts a table (CSV) into the show in one step with all that hangs on it: marks find their set and
 * count anew, an empty key cell is filled. Refused as a whole, with the place in the table: a key
 * that is another's (with one that is free), a set list that leaves a tie of a clip without its
 * count. The show is read again; positions in it may have moved, whatever comes of it. */
struct table_put {
    const char *name; /* one of table_names */
    const struct table_text *text;
    enum table_how how;
};
bool app_put_table(struct app *a, const struct table_put *put, struct table_report *out,
                   struct err *e);

/* A copy of the show beside it before a replace: 'larkspur.show.before-roster', with a number when
 * that is there. NULL with e; the name lives in mem. */
const char *app_copy_before(struct app *a, const char *name, struct arena *mem, struct err *e);

#endif
