/* A spoken call, read back from the words that a recogniser heard. */
#ifndef TALK_SAID_CALL_H
#define TALK_SAID_CALL_H

#include "talk/draft.h"
#include "talk/grammar.h"

enum { SAID_MOST = 32 /* targets */ };

struct said_call {
    struct draft_target targets[SAID_MOST]; /* in the order they were said, none twice */
    size_t n_targets;
    int fault;
    bool praise;
    int severity; /* 1 when nothing is said, as of a call that is typed; 3 serious */
};

struct said_words {
    const char *const *at; /* small letters, as grammar_word has them */
    size_t n;
};

/* False when the words are no call of this show: not in the grammar, or numbers 'through' which nobody
 * stands, or more than SAID_MOST targets. The show is the one the grammar was made of. */
bool said_call_read(const struct grammar *g, const struct show *show,
                    const struct said_words *words, struct said_call *out);

#endif
