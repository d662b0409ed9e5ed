/* What words mean: generic English and the trade's (tables that staff may extend) and the show's own
 * sections, performers and faults.
 *
 * Two tables. The one of words (words,means,of,leans): each row's words, parted by ';', mean one thing;
 * `means` is one of talk_means[], `of` says which (an idea's name, a section, a number), `leans` whether
 * saying it finds fault or praises. The one of signs (fault,signs): which ideas together speak of a fault,
 * "horn + low; horn + differ". Words are found by their stems, the
 * longest first ("=wind" is that form alone); signs of faults that
 * the show does not have are passed over. A word of the show's own for a fault that neither these
 * tables nor the examples know is an idea of its own, and a sign of that fault. */
#ifndef TALK_LEXICON_H
#define TALK_LEXICON_H

#include "base/arena.h"
#include "base/err.h"
#include "show/show.h"
#include "show/table.h"
#include "talk/words.h"

enum mean {
    MEAN_IDEA,    /* of: its name */
    MEAN_SECTION, /* of: a section's name, passed over where the show has none of it */
    MEAN_FAULT,   /* of: a fault's name; so are the show's own words */
    MEAN_GOOD,    /* praises */
    MEAN_BAD,     /* finds fault */
    MEAN_NOT,     /* turns what follows round */
    MEAN_WISH,    /* advice follows */
    MEAN_DO,      /* so it does at the head of a clause: 'keep your eyes up' */
    MEAN_BAN,     /* what is not to be: 'don't', at the head of a clause */
    MEAN_UNSURE,  /* what is wanted is not known: staff must decide */
    MEAN_ONE,     /* one performer */
    MEAN_SOME,    /* a few of them */
    MEAN_ALL,     /* everybody */
    MEAN_YOU,     /* speaks to who was spoken to before */
    MEAN_THEY,    /* speaks of who was just spoken of */
    MEAN_SAME,    /* what was said before holds again */
    MEAN_MILD,
    MEAN_STRONG,
    MEAN_BUT,    /* what follows counts more */
    MEAN_CUT,    /* a clause may begin here */
    MEAN_TURN,   /* a sentence may begin here, where nobody set stops */
    MEAN_SELF,   /* the speaker speaks of what the speaker does */
    MEAN_FILLER, /* says nothing */
    MEAN_LINK,   /* the section behind it is where, not who: 'by the flutes' */
    MEAN_PLACE,  /* a place on the field, though a section may be called so: 'front' */
    MEAN_AND,    /* joins two of a kind: 'and', 'or' */
    MEAN_JOIN,   /* what is behind it belongs to it: 'the flutes' */
    MEAN_ASIDE,  /* no talk of the band */
    MEAN_STORY,  /* tells what comes, judges nothing */
    MEAN_NUMBER, /* of: its value */
    MEAN_UNIT,   /* of: counts, steps, yards, degrees */
    MEAN_ORDER,  /* a number behind it is no size: 'the first four steps' */
    MEAN_ENGLISH, /* a common word: the language is known by it, and what else it means it says weakly */
    /* of the show alone: */
    MEAN_PERFORMER,
    MEAN_FORENAME,
};

struct meaning {
    enum mean is;
    int of;       /* idea, section, fault, performer or draft_unit */
    double value; /* of a number; what one of the unit is worth */
    int leans;    /* 1 good, -1 bad, 0 */
};

struct lexicon;

/* What staff may write into the tables, for --help; end with a row without a name. */
extern const struct table_column talk_words_columns[], talk_signs_columns[],
    talk_examples_columns[];
extern const char *const talk_means[]; /* those of the tables, in their order; ends with NULL */

struct lexicon_tables {
    struct table_text words, signs;
    const struct table_text *examples; /* tables of them */
    size_t n_examples;
    /* The faults that a show begins with: what a show's fault is called beside that, its staff mean.
     * Without bytes: nothing is known of that. */
    struct table_text faults;
};

/* The show must outlive it; both live in the arena. NULL with ERR_INPUT, file:line:column named. */
const struct lexicon *lexicon_new(struct arena *a, const struct show *show,
                                  const struct lexicon_tables *tables, struct err *e);

/* Do the words say anything by themselves? Not 'the', 'not', 'too'. */
bool lexicon_says(const struct lexicon *l, struct arena *a, const char *words);

#endif
