/* Between the files that look for lessons. Inner to the room. */
#ifndef TALK_TEACH_INNER_H
#define TALK_TEACH_INNER_H

#include "talk/lexicon_inner.h"
#include "talk/teach.h"

/* One to three words of a correction that could be taught. */
struct teachable {
    bool section;
    int of;
    const char *words, *stems;
    size_t correction;
    size_t n; /* words */
    int rank; /* the lower the likelier */
};
struct teachables {
    struct arena *a;
    struct teachable *at;
    size_t n, cap;
};

void teach_look(const struct lexicon *l, const struct correction *c, size_t number,
                struct teachables *out);

#endif
