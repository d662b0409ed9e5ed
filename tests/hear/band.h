/* A band of clicks and drums for tests: sound whose beats are known to the sample. */
#ifndef TESTS_HEAR_BAND_H
#define TESTS_HEAR_BAND_H

#include <stddef.h>
#include <stdint.h>

enum { BAND_RATE = 44100 };

struct band {
    float *samples; /* heap */
    size_t n;
    double *beat; /* s, heap */
    size_t n_beats;
    uint64_t seed;
};

enum band_kind { BAND_CLICK, BAND_DRUMS, BAND_SNARE };

/* Silence of this length. */
void band_open(struct band *b, double seconds, uint64_t seed);
void band_close(struct band *b);
/* `beats` beats from from_s on; the tempo goes from bpm0 to bpm1 in equal parts per beat over the
 * middle 40 per cent. CLICK: a decaying 1 kHz tone on every beat. DRUMS: low drum on 1 and 3, snare
 * noise on 2 and 4, stick taps between. SNARE: four strokes a beat, the first accented. */
void band_play(struct band *b, enum band_kind kind, double bpm0, double bpm1, double from_s,
               size_t beats);
/* White noise over everything, rms in dB below full scale (negative). */
void band_noise(struct band *b, double db);
/* One channel, 16 bit PCM. */
void band_write(const struct band *b, const char *path);

#endif
