/* Between the files that understand talk. Inner to the room. */
#ifndef TALK_LEXICON_INNER_H
#define TALK_LEXICON_INNER_H

#include "talk/lexicon.h"

struct feature;
/* Of what leans (talk/sense.h), and of nothing. */
struct praise_worth {
    double good, bad, constant;
};

struct examples {
    struct praise_worth praise;
    struct feature *at;
    size_t n;
    size_t *table; /* by hash; SIZE_MAX: free */
    size_t n_table;
    const size_t *of_fault; /* how many there are of each fault, and of none */
};

enum { PHRASE_WORDS = 8, SIGN_IDEAS = 5, PHRASE_MEANS = 10 };

struct phrase {
    const char *stems[PHRASE_WORDS];
    const char *exact; /* of one word: that form alone; NULL: any */
    size_t n;
    struct meaning means[PHRASE_MEANS];
    size_t n_means;
    size_t next; /* in its bucket, SIZE_MAX: the last */
};

/* Phrases by their first stem. */
struct phrases {
    struct phrase *at;
    size_t n;
    size_t *buckets;
    size_t n_buckets;
};

struct sign {
    int fault;
    int ideas[SIGN_IDEAS];
    size_t n;
};

struct lexicon {
    const struct show *show;
    const char **ideas;
    double *weights; /* of an idea: less where it speaks of many faults */
    size_t n_ideas;
    struct phrases
        phrases; /* all but the show's names and words of faults, which may lie over them */
    struct phrases faults;
    int *work_of; /* of a fault: the section that alone does it, -1 */
    struct sign *signs;
    size_t n_signs;
    const char **starred; /* ideas as features of examples: "*" and the name */
    struct examples examples;
};

/* A phrase found at a word. */
struct hit {
    const struct phrase *phrase;
    size_t from, n; /* words */
};

struct hits {
    const struct hit *at; /* by word, none on another */
    size_t n;
    const struct hit *faults; /* by word */
    size_t n_faults;
};

/* The first hit at or behind a word. */
size_t hits_from(const struct hits *h, size_t word);
size_t fault_hits_from(const struct hits *h, size_t word);

const struct meaning *phrase_means(const struct phrase *p, enum mean is); /* NULL */

/* What one word means by itself, whatever longer phrase it is a part of; NULL: nothing. */
const struct phrase *phrase_of_word(const struct phrases *all, const struct word *w);

void lexicon_find(const struct lexicon *l, struct arena *a, const struct words *w,
                  struct hits *out);

/* --- while it is made ------------------------------------------------------------------------ */

/* What is to be a phrase. */
struct entry {
    const char *text;
    struct meaning means;
};
struct entries {
    struct arena *a;
    struct entry *at;
    size_t n, cap;
};
void entries_add(struct entries *all, const char *text, struct meaning means);
/* Sections, performers, and into faults the faults, by name and words. */
void entries_of_show(const struct show *show, struct entries *all, struct entries *faults);
void phrases_of(struct arena *a, const struct entries *all, struct phrases *out);

/* The next of "a;b;c", without blanks around it, in the arena; NULL behind the last. */
const char *next_of(struct arena *a, const char **list, char parted_by);
/* A longer copy of the array in the arena, where it is full. */
void *arena_grow(struct arena *a, void *at, size_t n, size_t *cap, size_t size);

#endif
