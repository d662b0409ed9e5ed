/* What was rehearsed, and what was filmed before that: for an estimate of what reps mend. */
#ifndef STORE_REP_HISTORY_H
#define STORE_REP_HISTORY_H

#include "store/store.h"

/* A line that a ticked block of a plan was about. */
struct rep_made {
    const char *date; /* of the plan, YYYY-MM-DD */
    int64_t made_at;  /* when the plan was made, ms since 1970 UTC */
    int kind;         /* of the block, enum plan_kind */
    const char *sets; /* of the block, labels separated by spaces */
    int reps;         /* made, > 0 */
    int fixes;        /* lines that the block was about, this one too; > 0 */
    int section, fault;
};
/* All of them, by date; texts stand until the next row. */
bool store_each_rep_made(struct store *s, void (*fn)(void *ctx, const struct rep_made *row),
                         void *ctx, struct err *e);

/* When a clip came into the show, ms since 1970 UTC; its fields may have been changed since. */
bool store_each_clip_made(struct store *s, void (*fn)(void *ctx, int64_t clip, int64_t made_at),
                          void *ctx, struct err *e);

#endif
