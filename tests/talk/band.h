/* The show that every band begins with, and what its words mean. */
#ifndef TALK_BAND_H
#define TALK_BAND_H

#include "talk/understand.h"

enum { BAND_EXAMPLES = 6 };

struct band {
    struct arena memory;
    struct show show;
    struct lexicon_tables tables; /* those of share/ */
    struct table_text examples[BAND_EXAMPLES];
    const struct lexicon *lexicon;
};

/* Sections and faults of share/, without performers. Ends the test when a table is wrong. */
void band_begin(struct band *b);
/* Anew, for tables or a show that were changed. */
void band_learn(struct band *b);
void band_end(struct band *b);

/* What is understood of a text, the lead 0. */
struct understood band_hear(struct band *b, const char *text);

#endif
