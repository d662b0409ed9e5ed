/* What may be said as a call, made from the show's own words: 'trumpets, horn angle', 'tubas two and
 * three, feet apart', 'snares four through seven and tenors, good stick heights'.
 *
 * A call is targets, then perhaps 'good' or 'serious', then a fault. A target is a section by its name or
 * one of its words, perhaps with numbers of its performers; only numbers that somebody has are in it. The
 * grammar is a net: states, and arcs between them which are said or silent. The same net is what a
 * recogniser listens with and what said_call_read() reads. */
#ifndef TALK_GRAMMAR_H
#define TALK_GRAMMAR_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "show/show.h"

enum said {
    SAID_NOTHING,
    SAID_SECTION,
    SAID_NUMBER,
    SAID_THROUGH,
    SAID_FAULT,
    SAID_PRAISE,
    SAID_SEVERITY
};

struct grammar_word {
    const char *is;            /* small letters */
    const char *const *sounds; /* "T UW B AH": at least one way of saying it */
    size_t n_sounds;
};

struct grammar_arc {
    int from, to;
    int word; /* -1: silent */
    enum said says;
    int value;     /* section or fault as a position, the number, the severity */
    double chance; /* that it is this one of those that leave `from`, 0 .. 1 */
};

/* A name or word of the show in which something has no known sound: it cannot be heard. */
struct grammar_unheard {
    const char *phrase, *word;
    bool name; /* it is the section's or fault's name, not just one of its words */
    bool fault;
    int at; /* the section or fault */
};

struct grammar {
    const struct grammar_word *words;
    const struct grammar_arc *arcs; /* by `from` */
    const struct grammar_unheard *unheard;
    size_t n_words, n_arcs, n_unheard;
    int n_states, start, end;
};

/* How words sound, in ARPABET: the nth way of saying one (small letters), NULL when there are no more. */
struct sounds {
    const char *(*find)(void *user, const char *word, size_t nth);
    void *user;
};

/* A word sounds as the show's `say` column has it, or the dictionary; where neither knows it, like a
 * word with or without a plural's ending, or like two words in one ("drumline"). */
void grammar_of(struct arena *a, const struct show *show, const struct sounds *dictionary,
                struct grammar *out);

#endif
