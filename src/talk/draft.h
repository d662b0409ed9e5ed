/* A draft: a remark that was proposed and that nobody has looked at yet.
 *
 * What proposes it may be a commentary, a spoken call or anything else; each says how sure it is and
 * why. Sections, performers and faults are positions in the show's arrays. */
#ifndef TALK_DRAFT_H
#define TALK_DRAFT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "show/show.h"

enum draft_unit { DRAFT_NO_SIZE, DRAFT_COUNTS, DRAFT_STEPS, DRAFT_DEGREES };

struct draft_target {
    int section;
    int performer; /* -1: not said who */
};

struct draft {
    int64_t at_us,
        end_us;      /* media time of the clip: where it was seen, and where the talk of it ends */
    int64_t said_us; /* when it began to be said, by the clock of what proposes it */
    const struct draft_target *targets;
    size_t n_targets;
    bool one;  /* one performer of them, who is not named */
    int fault; /* -1: none of the show's is recognised */
    bool praise;
    enum cause cause;
    int severity; /* 1 small .. 3 serious */
    double size;  /* meaningful with a unit */
    enum draft_unit unit;
    double confidence;        /* 0 .. 1 that target, fault and praise are right */
    const char *quote;        /* as it was said */
    const char *const *words; /* which words made it, "horn angle: bell heights" each */
    size_t n_words;
};

struct draft_list {
    const struct draft *at; /* by at_us */
    size_t n;
};

const char *draft_unit_name(enum draft_unit u); /* "counts", "steps", "degrees"; "" without one */
/* "2 counts", "1 step"; nothing without a size. */
void draft_size(const struct draft *d, struct buf *out);

#endif
