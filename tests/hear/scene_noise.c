/* What sounds beside the band: hiss, a crowd, somebody who speaks. */
#include <math.h>
#include <stdlib.h>

#include "scene_inner.h"

static const double turn = 6.283185307179586;

/* Pink noise, from memory of P. Kellet's filter (music-dsp list, 1999): within 1 dB of -3 dB an
 * octave above 40 Hz. */
struct pink {
    double b[3];
};

static double pink_next(struct pink *p, struct dice *d)
{
    const double white = 2 * dice_even(d) - 1;
    p->b[0] = 0.99765 * p->b[0] + 0.0990460 * white;
    p->b[1] = 0.96300 * p->b[1] + 0.2965164 * white;
    p->b[2] = 0.57000 * p->b[2] + 1.0526913 * white;
    return p->b[0] + p->b[1] + p->b[2] + 0.1848 * white;
}

void noise_light(struct track *t, struct dice *d)
{
    struct pink p = {0};
    for (size_t i = 0; i < t->n; i++)
        t->at[i] += (float)(pink_next(&p, d) + 0.3 * (2 * dice_even(d) - 1));
}

/* --- voices -------------------------------------------------------------------------------- */

/* A resonance: two poles, about 1 at its peak for noise of one octave. */
struct formant {
    double b1, b2, gain, now, before;
};

static struct formant formant_make(double hz, double wide_hz)
{
    const double r = exp(-turn / 2 * wide_hz / SCENE_RATE);
    return (struct formant){.b1 = 2 * r * cos(turn * hz / SCENE_RATE), .b2 = -r * r, .gain = 1 - r};
}

static double formant_next(struct formant *f, double x)
{
    const double y = f->gain * x + f->b1 * f->now + f->b2 * f->before;
    f->before = f->now;
    f->now = y;
    return y;
}

/* A consonant of noise, then a vowel: pulses of the voice through two resonances. */
static void syllable(struct track *t, struct dice *d, const struct span *when, double hz)
{
    struct formant first = formant_make(dice_between(d, 300, 850), 90),
                   second = formant_make(dice_between(d, 900, 2300), 130),
                   hiss = formant_make(dice_between(d, 3000, 6500), 1500);
    const size_t from = (size_t)(when->from_s * SCENE_RATE), to = (size_t)(when->to_s * SCENE_RATE);
    const size_t vowel = from + (size_t)(dice_between(d, 0.02, 0.07) * SCENE_RATE);
    const double hissing = dice_below(d, 3) ? 0.15 : 1, loud = dice_between(d, 0.5, 1.2);
    double phase = 0;
    for (size_t i = from; i < to && i < t->n; i++) {
        const double part = (double)(i - from) / (double)(to - from);
        phase += hz * (1.05 - 0.15 * part) / SCENE_RATE;
        const double pulse = phase >= 1 ? 30 : 0;
        phase -= floor(phase);
        const double x = i < vowel ? 0 : pulse;
        const double noise = i < vowel ? hissing * (2 * dice_even(d) - 1) : 0;
        const double voiced = formant_next(&first, x) + 0.5 * formant_next(&second, x);
        t->at[i] +=
            (float)(loud * sin(turn / 2 * part) * (voiced + 3 * formant_next(&hiss, noise)));
    }
}

/* Words of one to four syllables, four to six of them a second, and pauses between. */
static void speak(struct track *t, struct dice *d, const struct span *when, double hz)
{
    double s = when->from_s;
    while (s < when->to_s) {
        for (size_t k = 1 + dice_below(d, 4); k > 0 && s < when->to_s; k--) {
            const double lasts = dice_between(d, 0.13, 0.28);
            syllable(t, d, &(struct span){s, fmin(s + lasts, when->to_s)},
                     hz * dice_between(d, 0.9, 1.15));
            s += lasts * 0.9;
        }
        s += dice_even(d) < 0.25 ? dice_between(d, 0.4, 1.2) : dice_between(d, 0.03, 0.15);
    }
}

void talk_add(struct track *t, struct dice *d, const struct span *when)
{
    speak(t, d, when, dice_between(d, 95, 210));
}

/* --- crowd --------------------------------------------------------------------------------- */

static void murmur(struct track *t, struct dice *d)
{
    struct pink p = {0};
    const double hz = dice_between(d, 0.15, 0.5), other = dice_between(d, 0.05, 0.2);
    const double phase = dice_between(d, 0, turn), swing = dice_between(d, 0.2, 0.45);
    for (size_t i = 0; i < t->n; i++) {
        const double s = (double)i / SCENE_RATE;
        const double swell = 1 + swing * sin(turn * hz * s + phase) + 0.3 * sin(turn * other * s);
        t->at[i] += (float)(swell * pink_next(&p, d));
    }
}

static void clap(struct track *t, struct dice *d)
{
    const double all_s = (double)t->n / SCENE_RATE, from = dice_between(d, 0, all_s);
    const double to = fmin(from + dice_between(d, 2, 6), all_s);
    for (double s = from; s < to; s += -log(1 - dice_even(d)) / 25)
        play_stroke(
            t, d,
            &(struct stroke){VOICE_CLAP, s, dice_between(d, 1, 7), dice_between(d, 0.8, 1.2)});
}

static void whistle(struct track *t, struct dice *d)
{
    const double at_s = dice_between(d, 0, (double)t->n / SCENE_RATE);
    const double lasts = dice_between(d, 0.3, 0.9), hz = dice_between(d, 2200, 3400);
    const double glide = dice_between(d, -0.15, 0.15), trill = dice_between(d, 20, 40);
    const double trilled = dice_even(d) < 0.5 ? 0.8 : 0, loud = dice_between(d, 2, 5);
    const size_t from = (size_t)(at_s * SCENE_RATE), all = (size_t)(lasts * SCENE_RATE);
    double phase = 0;
    for (size_t i = 0; i < all && from + i < t->n; i++) {
        const double part = (double)i / (double)all, s = (double)i / SCENE_RATE;
        phase += hz * (1 + glide * part) / SCENE_RATE;
        const double swell =
            sin(turn / 2 * part) * (1 - trilled * (0.5 + 0.5 * sin(turn * trill * s)));
        t->at[from + i] += (float)(loud * swell * sin(turn * phase));
    }
}

void noise_crowd(struct track *t, struct dice *d)
{
    const struct span all = {0, (double)t->n / SCENE_RATE};
    murmur(t, d);
    for (int person = 0; person < 6; person++)
        speak(t, d, &all, dice_between(d, 95, 240));
    for (size_t k = 3 + dice_below(d, 3); k > 0; k--)
        clap(t, d);
    for (size_t k = 2 + dice_below(d, 4); k > 0; k--)
        whistle(t, d);
}
