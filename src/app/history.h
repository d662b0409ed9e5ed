/* How the lines of a fix list went from rehearsal to rehearsal, with the reps made and the states
 * set. */
#ifndef APP_HISTORY_H
#define APP_HISTORY_H

#include "app/app.h"
#include "rank/history.h"

struct history_choice {
    struct fix_choice list; /* whom, clips and dates count */
    int fault;              /* position; -1: every line */
};
bool app_history(struct app *a, const struct history_choice *choice, struct arena *mem,
                 struct history_report *out, struct err *e);

/* The same of a report that was read already; of all its own lines. */
bool app_history_of(struct app *a, const struct fix_report *of, struct arena *mem,
                    struct history_report *out, struct err *e);

#endif
