/* Verbs that have verbs of their own behind SHOW CLIP: which one is meant, and whether what stands
 * behind it means something there. */
#ifndef VERB_SUBS_H
#define VERB_SUBS_H

#include "verb/verb.h"

struct sub {
    const char *name, *usage;
    size_t least, most;  /* words behind it */
    const char *options; /* that mean something here, a blank between */
};

/* Rows of a verb's own that begin with a struct sub. */
struct subs {
    const void *at;
    size_t n, size;
};
#define SUBS_OF(rows) ((struct subs){rows, sizeof rows / sizeof *rows, sizeof *rows})

/* The row that the third word names, with as many words as it takes and no option that would do nothing
 * there. NULL with ERR_USAGE. */
const void *sub_asked(const struct call *c, const struct subs *all, struct err *e);

#endif
