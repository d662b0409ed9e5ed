/* Columns that the tables of `boxcall count` share. Inner to the room. */
#ifndef PAPER_COUNT_COLUMNS_H
#define PAPER_COUNT_COLUMNS_H

#include "paper/column.h"

#define MS_COLUMN(fn, says)                                                                        \
    {                                                                                              \
        .name = "ms", .kind = COLUMN_NUMBER, .where = IN_BOTH, .number = fn, .format = "%.3f",     \
        .unit = 0.001, .help = says                                                                \
    }
#define MICRO_COLUMN(title, fn, says)                                                              \
    {                                                                                              \
        .name = title, .kind = COLUMN_NUMBER, .where = IN_BOTH, .number = fn, .format = "%.6f",    \
        .unit = 1e-6, .help = says                                                                 \
    }
#define WHOLE_COLUMN(title, fn, says)                                                              \
    {                                                                                              \
        .name = title, .kind = COLUMN_WHOLE, .where = IN_BOTH, .number = fn, .help = says          \
    }

#endif
