/* Writers for `boxcall define`: lines with cause define; only >= 0: that fault alone. The report
 * has its moments. */
#ifndef PAPER_DEFINE_H
#define PAPER_DEFINE_H

#include "paper/paper.h"

extern const struct column define_columns[];

void define_text(const struct fix_report *r, int only, struct buf *out);
void define_csv(const struct fix_report *r, int only, struct buf *out);
void define_json(const struct fix_report *r, int only, struct buf *out);

#endif
