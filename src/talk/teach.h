/* What corrections could teach: somebody said that another fault or another section was meant, and the
 * quote holds words that the program did not know for it. */
#ifndef TALK_TEACH_H
#define TALK_TEACH_H

#include "talk/draft.h"
#include "talk/lexicon.h"

/* --- proposed -------------------------------------------------------------------------------- */

struct correction {
    const char *quote;
    int heard_fault, fault; /* -1: none */
    const struct draft_target *heard, *now;
    size_t n_heard, n_now;
};
struct corrections {
    const struct correction *at;
    size_t n;
};

struct lesson {
    bool section;
    int of;            /* the fault or section, a position in the show */
    const char *words; /* one to three, as they were said, small letters */
    size_t n;          /* corrections that speak for it */
    const char *quote; /* of the first of them */
};
struct lessons {
    const struct lesson *at; /* those that most corrections speak for first */
    size_t n;
};

/* For a fault: words that no table knows; else words that spoke for the wrong fault; none that join,
 * praise, blame, count, or name somebody or a fault already. For a section: a word that no table knows
 * where a section would be called. Words of one stem are one word; each correction speaks for one lesson
 * about its fault and one about its section, or for none. All lives in the arena. */
void teach_lessons(struct arena *a, const struct lexicon *l, const struct corrections *all,
                   struct lessons *out);

/* --- taken up -------------------------------------------------------------------------------- */

/* A fault or section that is in use, and what it is called. */
struct named {
    bool section;
    int64_t id; /* its row */
    const char *name, *words;
};
struct named_list {
    const struct named *at;
    size_t n;
};

enum { TEACH_WORDS_MOST = 8, TEACH_BYTES_MOST = 80 };

/* What would stand in the column words of the one at `own` with these words behind those that are there;
 * in the arena. NULL with ERR_INPUT: they are none, too long, or called so is another (or itself). */
const char *teach_words(struct arena *a, const struct named_list *all, size_t own,
                        const char *words, struct err *e);

#endif
