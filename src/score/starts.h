/* Where sets begin. Inner to the room. */
#ifndef SCORE_STARTS_H
#define SCORE_STARTS_H

#include "base/buf.h"
#include "score/counting.h"

struct start {
    size_t count;     /* that pass before it */
    const char *text; /* of its marker, "" without */
};

struct start_list {
    struct start *at; /* rising; the first at 0; one more, not counted in n, at the end */
    size_t n;
    struct buf said; /* lines that a person should see, each ended by a newline; the caller's */
};

/* out->said is the caller's to free, whatever comes of it. */
bool starts_find(struct arena *a, const struct counting *c, const struct sets_wish *wish,
                 struct start_list *out, struct err *e);

#endif
