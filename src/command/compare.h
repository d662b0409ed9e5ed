/* Two rehearsals compared on the desk: which ones, and what changed. */
#ifndef COMMAND_COMPARE_H
#define COMMAND_COMPARE_H

#include "command/desk.h"
#include "rank/compare.h"

struct comparing {
    bool shown; /* by its screen; what is not shown is let go when the show is read */
    bool all;   /* also what did not change beyond noise */
    struct arena memory;
    struct comparison report;
    char from[12], to[12]; /* dates */
    size_t line;
};

const struct comparing *comparing_now(const struct desk *d);
/* Reads the comparison of two dates; "" the newest two. False, and said, when there are none. */
bool comparing_load(struct desk *d, const char *from, const char *to);
/* The rehearsal before is the next earlier (by < 0) or later one; the one after with `after`. */
void comparing_turn(struct desk *d, bool after, int by);
void comparing_shown(struct desk *d, bool shown);
void comparing_all(struct desk *d, bool all);
void comparing_choose(struct desk *d, size_t line);
/* Line number n of those that are shown; NULL behind the last. *part: its section or performer. */
const struct change *comparing_line(const struct desk *d, size_t n, const struct compared **part);
size_t comparing_lines(const struct desk *d);

#endif
