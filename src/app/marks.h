/* Marks as a table on their way into the open show. */
#ifndef APP_MARKS_H
#define APP_MARKS_H

#include "app/app.h"
#include "show/table.h"

extern const struct table_column marks_columns[]; /* end with a row without a name */

struct marks_report {
    size_t added, changed, same; /* same: there already, as the table has it */
};

/* clip,time,target,fault,note,severity,cause,praise,author,late_counts,late_error,
 * measure,measure_value,measure_error,measure_of,across,depth,state,end, or Web Annotations that say the
 * same (show/annotations.h): all rows or none. A mark that was there before (same clip, target, fault and praise, the time to the
 * millisecond) is updated in the columns that the table has, but for its state and its end. */
bool app_put_marks(struct app *a, const struct table_text *text, struct marks_report *out,
                   struct err *e);

struct app_correction {
    int64_t mark;
    const struct mark_correction *how;
    const char *what; /* the step's name for undo; NULL: it cannot be undone */
};
/* Puts a mark right, with its place in the drill, in one step. *now is the mark as it is then; its
 * memory is the arena's. */
bool app_correct(struct app *a, const struct app_correction *c, struct arena *mem, struct mark *now,
                 struct err *e);

#endif
