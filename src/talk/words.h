/* The words of a commentary, each with its moment.
 *
 * Inside a cue time runs evenly over its words, between those whose time it names. Where a cue has no end
 * (stamped text) its words are said at 2.6 a second, as people do who talk on (some 150 to 160 words a
 * minute; from memory), or faster where the next one begins too soon for that.
 *
 * A word is letters, digits and apostrophes within ("don't"); a hyphen parts two ("half-step"). Its stem
 * is that of the Snowball project's English stemmer (libstemmer), so that "rushing" and "rushed" are
 * one. */
#ifndef TALK_WORDS_H
#define TALK_WORDS_H

#include "talk/timed.h"

/* What stands between a word and the next. */
enum word_end { WORD_GOES_ON, WORD_COMMA, WORD_STOP };

struct word {
    const char *is; /* small letters, apostrophes as ' */
    const char *stem;
    int64_t from_us, to_us; /* to_us: when the next of its cue begins, or the cue ends */
    size_t cue;             /* of the commentary */
    size_t at, n;           /* bytes of the cue's text */
    enum word_end ends;
};

struct words {
    const struct word *at; /* in the order of the cues */
    size_t n;
};

void words_of(struct arena *a, const struct timed *t, struct words *out);

/* A word's stem, in the arena; for lists of words that are to be found. */
const char *word_stem(struct arena *a, const char *word);

#endif
