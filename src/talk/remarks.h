/* Clauses that belong together. Inner to the room. */
#ifndef TALK_REMARKS_H
#define TALK_REMARKS_H

#include "talk/sense.h"

struct remark {
    size_t first, last; /* clauses [first, last] */
    struct topic topic;
    struct lean lean;
    struct who who;
    bool carried; /* who: from what was said before */
    bool same;    /* what the remark before it says */
    double odds;  /* logarithm of the odds that it is one */
};

struct remarks {
    const struct remark *at;
    size_t n;
};
/* The division of all that is said into remarks and talk whose odds are best together. */
struct remarks remarks_of(const struct talk *t, const struct clause *c, size_t n);

struct span remark_span(const struct clause *c, const struct remark *r);

#endif
