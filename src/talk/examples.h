/* How people say it: sentences whose fault is known, and what their words are worth. Inner to the room.
 *
 * A word that is said of a fault more often than chance speaks for it, by the logarithm of how much more
 * often (its pointwise mutual information with the fault; a word that is said more seldom speaks against
 * nothing). What it is worth for being a remark at all, and for praise, is learnt from all words of the
 * examples together (talk/logit.h). */
#ifndef TALK_EXAMPLES_H
#define TALK_EXAMPLES_H

#include "talk/lexicon_inner.h"

struct example {
    const char *said;
    int fault; /* EXAMPLE_NONE: no remark; EXAMPLE_OTHER: of no fault that the show has */
    bool praise;
};
enum { EXAMPLE_NONE = -1, EXAMPLE_OTHER = -2 };

struct worth {
    int fault; /* n_faults: none of the show's */
    double value;
    struct worth *next;
};

struct feature {
    const char *is;           /* a stem, or "*" and the idea's name */
    struct worth *of;         /* faults that it speaks for */
    double remark, praise;    /* logarithms of odds, signed */
    size_t n_remarks, n_talk; /* examples that have it */
    size_t seen;              /* by the example of that number */
};

/* l's phrases are there already. */
void examples_learn(struct arena *a, const struct lexicon *l, const struct example *all, size_t n,
                    struct examples *out);

/* The features of words that the examples have: by word, several of one. */
struct use {
    size_t feature, word;
    double topical; /* how much the word may say of a fault: people say common ones of anything */
};
struct uses {
    const struct use *at;
    size_t n;
};
void examples_find(const struct lexicon *l, struct arena *a, const struct words *w,
                   const struct hits *hits, struct uses *out);

#endif
