/* A clip's sound in memory, for what is to be timed without decoding. */
#ifndef BENCH_SAMPLES_H
#define BENCH_SAMPLES_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

struct samples {
    float *at; /* SOUND_RATE a second, heap */
    size_t n, cap;
};

/* Ends the program with the reason when it does not hold. */
void bench_must(bool ok, const struct err *e);
struct samples samples_of(const char *clip);

#endif
