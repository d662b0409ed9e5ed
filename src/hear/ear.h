/* One search of the recogniser over the sound. Inner to the room.
 *
 * Three of them hear the same: the net that is meant, sounds in any order, common words in any order. All
 * score every frame against the best of all the model's sounds, so that their scores can be compared. */
#ifndef HEAR_EAR_H
#define HEAR_EAR_H

#include "hear/speech.h"

struct ear;

bool ear_of_net(struct ear **out, const struct speech_net *net, const char *model, struct err *e);
bool ear_of_sounds(struct ear **out, const char *model, struct err *e);
/* The commonest words of English, most frequent first, as the dictionary has them said. */
bool ear_of_english(struct ear **out, struct speech_dictionary *d, const char *model,
                    struct err *e);
void ear_close(struct ear *r); /* accepts NULL */

/* The sound as searches hear it, the same for each ear of a model; in the arena. The noise that is added to it
 * (dither) comes from one generator of the whole program: one thread at a time. */
struct ear_sound {
    float **at; /* frames of 10 ms, one behind the other in memory */
    size_t width;
    int n;
};
bool ear_sound(struct ear *r, struct arena *a, const struct speech_samples *whole,
               struct ear_sound *out);
/* Several ears may search the same at once, each in a thread of its own. */
void ear_whole(struct ear *r, const struct ear_sound *whole);

/* What was heard, after the end; the best way through the whole net, or nothing. */
struct ear_word {
    const char *is;  /* without "(2)"; in the arena */
    int first, last; /* frames of 10 ms */
};
struct ear_path {
    const struct ear_word *words;
    size_t n;
    double score; /* of the whole way, its words' chances too; logarithms, in units of about 0.1 */
    const float *sound; /* of the sound alone, for every frame; in the arena */
    int n_frames;
    int spoken; /* frames in words, not silence */
};
/* False when nothing was heard. */
bool ear_heard(struct ear *r, struct arena *a, struct ear_path *out);

extern const char *const ear_english; /* one blank between words */

#endif
