/* The staff's tables on their way into the show file, shared by `new` and `add`. */
#ifndef VERB_TABLES_H
#define VERB_TABLES_H

#include "app/app.h"
#include "app/share.h"

/* Reads CSV bytes and puts them into the open show, which is loaded again. keep: rows that the
 * table does not have stay. report may be NULL. */
typedef bool put_fn(struct app *a, const char *bytes, size_t n, const char *source, bool keep,
                    struct put_report *report, struct err *e);
put_fn put_sections, put_faults, put_roster, put_sets, put_dots;

/* clip,time,target,fault,note,severity,cause,praise,author: all rows or none. A mark that was there
 * before (same clip, time, target, fault) is updated. */
bool put_marks(struct app *a, const char *bytes, size_t n, const char *source, size_t *added,
               size_t *updated, struct err *e);

#endif
