/* Writers for `boxcall compare`. */
#ifndef PAPER_COMPARE_H
#define PAPER_COMPARE_H

#include "paper/paper.h"
#include "rank/compare.h"

extern const struct column compare_columns[];

void compare_text(const struct comparison *c, struct buf *out);
void compare_csv(const struct comparison *c, struct buf *out);
void compare_json(const struct comparison *c, struct buf *out);

#endif
