/* Writers for `boxcall define`: what the staff must decide, and what it has decided. */
#ifndef PAPER_DEFINE_H
#define PAPER_DEFINE_H

#include "paper/fixes.h"
#include "paper/paper.h"

/* A line: what waits (its marks), or a fault about which was decided (an item without marks when
 * none had asked). */
struct define_line {
    const struct define_report *d;
    const struct fix_report *r;
    const struct report_part *part;
    const struct rank_item *item;
    int fault;
    bool decided;
};
/* Line number n: those that wait first, by frequency, then those decided; false behind the last. */
bool define_line(const struct define_report *d, size_t n, struct define_line *out);

const struct fault *define_fault(const struct define_line *l);
/* As a line of a fix list, for its moments and people. */
struct fixes_line define_as_fixes(const struct define_line *l);

extern const struct column define_columns[];

void define_text(const struct define_report *d, struct buf *out);
void define_csv(const struct define_report *d, struct buf *out);
void define_json(const struct define_report *d, struct buf *out);

#endif
