#ifndef COMMAND_LATE_H
#define COMMAND_LATE_H

#include <stddef.h>
#include <stdint.h>

#include "command/who.h"

enum { RIPPLE_MOST = 32 };

/* Who was seen when, one after the other, as something passed along a form. */
struct ripple_row {
    size_t n;
    struct {
        struct who who;
        char name[40]; /* as the message says it */
        int64_t at_us;
    } seen[RIPPLE_MOST];
};

#endif
