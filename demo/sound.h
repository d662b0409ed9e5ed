/* What the box hears: a click for every beat played on the field, late by the way it travels. */
#ifndef DEMO_SOUND_H
#define DEMO_SOUND_H

#include <stdbool.h>
#include <stdint.h>

#include "demo/view.h"
#include "demo/tempo.h"

enum { SOUND_RATE = 48000 };

struct beat {
    int set, count; /* the count that begins with it, 1 .. counts */
    double field_s, heard_s;
};

struct sound {
    struct vec source; /* the metronome on the field, ft */
    double temperature_c, speed_m_s, distance_ft, delay_s;
    struct beat *beat;
    size_t n_beats;
};

/* c(T) = 331.3 sqrt(1 + T/273.15) m/s, an ideal gas. Beats that are played before end_s. */
struct sound sound_make(struct arena *a, const struct tempo *t, const struct view *w,
                        double temperature_c, double end_s);
/* n samples of mono sound in [-1, 1] from sample number `from` on. */
void sound_samples(const struct sound *s, int64_t from, int n, float *out);

#endif
