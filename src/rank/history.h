/* How a line of the fix list went from rehearsal to rehearsal. A rehearsal is a date: the marks and
 * the watched minutes of all its chosen clips. */
#ifndef RANK_HISTORY_H
#define RANK_HISTORY_H

#include "rank/report.h"

struct rehearsal {
    const char *date;
    int clips;      /* chosen ones of that date; 0: only reps or a state are known of it */
    int marks;      /* clean ones too */
    double minutes; /* watched, 0: no cover is stored */
    bool rated;
    double rate, low, high; /* marks a watched minute, exact 95 % (rank/stat.h, Garwood) */
    int reps;               /* made, of blocks that were about the line */
    const char *state, *by; /* set on that day, and by whom; "" when none was */
};

struct line_history {
    const struct report_part *part;
    const struct rank_item *item;
    struct rehearsal *at; /* by date */
};

struct history_report {
    struct fix_report of;
    const char *const *dates; /* of all rehearsals, by date */
    size_t n_dates;
    struct line_history *lines;
    size_t n;
};

/* The dates of a report's clips, by date; room for one a clip. */
size_t history_dates(const struct fix_report *r, const char **out);
/* Fills one rehearsal for each date from the item's marks; reps and states are the caller's. */
void history_count(const struct fix_report *r, const struct rank_item *item,
                   const char *const *dates, size_t n, struct rehearsal *out);

#endif
