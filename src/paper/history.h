/* Writers for `boxcall history`. */
#ifndef PAPER_HISTORY_H
#define PAPER_HISTORY_H

#include "paper/paper.h"
#include "rank/history.h"

extern const struct column history_columns[];

void history_text(const struct history_report *r, struct buf *out);
void history_csv(const struct history_report *r, struct buf *out);
/* {show, for, items: [{target, fault, rehearsals: [...]}]} */
void history_json(const struct history_report *r, struct buf *out);

/* A bar of at most so many columns for a rate (or, without one, for marks) beside the largest of
 * the line. */
void history_bar(const struct line_history *l, size_t n, size_t nth, int columns, struct buf *out);

#endif
