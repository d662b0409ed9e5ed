/* Words that corrections of drafts could teach. */
#ifndef PAPER_LESSONS_H
#define PAPER_LESSONS_H

#include "base/buf.h"
#include "paper/column.h"
#include "show/show.h"
#include "talk/teach.h"

extern const struct column lessons_columns[];

void lessons_text(const struct show *show, const struct lessons *l, struct buf *out);
void lessons_csv(const struct show *show, const struct lessons *l, struct buf *out);
void lessons_json(const struct show *show, const struct lessons *l, struct buf *out);

#endif
