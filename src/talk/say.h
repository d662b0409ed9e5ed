/* How a word sounds. Inner to the room.
 *
 * The `say` column of a section or fault holds sounds of the recogniser's dictionary, alternatives parted
 * by ';': for the name where that is one word ("T UW B AH Z"), or for a word that is named ("mellos: M EH L
 * OW Z"). */
#ifndef TALK_SAY_H
#define TALK_SAY_H

#include "talk/grammar.h"

struct say_entry {
    const char *word, *sounds;
};

struct say {
    struct arena *a;
    const struct sounds *dictionary;
    struct say_entry *entries; /* heap */
    size_t n, cap;
};

/* Takes in one cell; `name` as grammar_phrase() has it. */
void say_add(struct say *s, const char *name, const char *cell);
void say_free(struct say *s);

struct sound_list {
    const char **at; /* in the arena */
    size_t n;
};
/* All ways of saying it; none when nobody knows. */
struct sound_list say_word(struct say *s, const char *word);
/* Does somebody know it as it stands? */
bool say_known(const struct say *s, const char *word);

/* A phrase as it is said: small letters, single blanks, hyphens as blanks, digits as words. */
const char *say_phrase(struct arena *a, const char *text, size_t n);
/* 1 .. 99 in words. */
const char *say_number(struct arena *a, int number);

#endif
