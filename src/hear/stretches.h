/* Where somebody talks: stretches of sound between pauses, by loudness alone. Inner to the room. */
#ifndef HEAR_STRETCHES_H
#define HEAR_STRETCHES_H

#include "hear/speech.h"

struct stretch {
    size_t from, to; /* samples; a quarter of a second of the pauses around it is in it */
};
struct stretch_list {
    const struct stretch *at; /* in the arena */
    size_t n;
};

/* A pause is 0.6 s or more in which it is nearly as quiet as in the quietest tenth: the pause after a
 * comma is some 0.3 s (measured on the voices in tests/hear). Blips of less than 0.15 s are no talk. */
struct stretch_list stretches_of(struct arena *a, const struct speech_samples *s);

#endif
