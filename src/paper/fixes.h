/* One line of a fix list, as the writers of tables take it. */
#ifndef PAPER_FIXES_H
#define PAPER_FIXES_H

#include "paper/column.h"
#include "paper/paper.h"

struct fixes_line {
    const struct fix_report *r;
    const struct fixes_style *style; /* may be NULL in CSV, which has no names of people */
    const struct report_part *part;
    const struct rank_item *item;
};

#endif
