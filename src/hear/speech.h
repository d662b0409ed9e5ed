/* Speech to words, without anything leaving this laptop: samples in, words with their times and a
 * confidence out. What may be said is a net of words, which the caller makes; other talk is told from it by
 * how much worse the net explains the sound than sounds of the language in any order, and than the
 * language's commonest words in any order.
 *
 * The recogniser is pocketsphinx with Debian's model of American English; boxcall can be built without it,
 * and then speech_open() says so. */
#ifndef HEAR_SPEECH_H
#define HEAR_SPEECH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/err.h"

enum { SPEECH_RATE = 16000 }; /* samples a second, one channel */

struct speech_word {
    const char *is;
    const char *const *sounds; /* ARPABET, "T UW B AH": at least one way of saying it */
    size_t n_sounds;
};
struct speech_arc {
    int from, to; /* states */
    int word;     /* of the net; -1: silent */
    double chance;
};
struct speech_net {
    const struct speech_word *words;
    const struct speech_arc *arcs; /* no circle of them all silent */
    size_t n_words, n_arcs;
    int n_states, start, end;
};

/* The folder of the model; NULL: where Debian installs it. */
const char *speech_model(const char *folder);

/* How words sound by the model's dictionary. Reads 3 MB: some 20 ms. */
struct speech_dictionary;
bool speech_dictionary_open(struct speech_dictionary **out, const char *model, struct err *e);
void speech_dictionary_close(struct speech_dictionary *d); /* accepts NULL */
/* The nth way of saying a word (small letters); NULL when there are no more. */
const char *speech_dictionary_find(void *dictionary, const char *word, size_t nth);

/* An ear for one net, in which some way leads from start to end; it need not outlive the call. One thread
 * of the program hears at a time, whatever ears it has. */
struct speech;
bool speech_open(struct speech **out, const struct speech_net *net, const char *model,
                 struct err *e);
void speech_close(struct speech *v); /* accepts NULL */

struct speech_heard {
    const char *is;
    int64_t from_us, to_us; /* from the first sample */
};
/* How much better the net explains the sound than others do, in logarithms of the chance (units of some 0.1) a
 * spoken frame of 10 ms: what the confidence is made of. */
struct speech_scores {
    double sounds;  /* than the language's sounds in any order; of the sound alone, below 0 */
    double english; /* than common words in any order; of the sound and the words' chances */
    double worst;   /* the worst 0.4 s against the sounds */
};
struct speech_said {
    const struct speech_heard *words; /* none when nothing of the net was heard */
    size_t n;
    double confidence; /* 0 .. 1 that it was said and that all words are right */
    struct speech_scores scores;
};

struct speech_samples {
    const int16_t *at;
    size_t n;
};
/* A whole utterance: about a quarter of its length of processor time, on two processors half of that. */
void speech_hear(struct speech *v, struct arena *a, const struct speech_samples *whole,
                 struct speech_said *out);

#endif
