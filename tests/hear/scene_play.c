/* Instruments: what is struck and what is blown. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "scene_inner.h"

static const double turn = 6.283185307179586;

/* --- struck -------------------------------------------------------------------------------- */

enum { MODES = 4 };

/* Tones and a band of noise that begin at once and die away by e every decay_s. No source: set by
 * ear and by what drums of this size are tuned to. */
static const struct voice_row {
    struct {
        double hz, loud, decay_s;
    } mode[MODES];
    struct {
        double loud, decay_s, low_hz, high_hz;
    } noise;
} voices[VOICES] = {
    [VOICE_BEEP] = {{{1000, 0.8, 0.07}, {2000, 0.15, 0.05}}, {0}},
    [VOICE_BLOCK] = {{{930, 0.6, 0.03}, {1860, 0.35, 0.02}, {3100, 0.15, 0.01}},
                     {0.2, 0.003, 1000, 8000}},
    [VOICE_BELL] = {{{560, 0.45, 0.1}, {845, 0.45, 0.09}, {2100, 0.15, 0.05}}, {0}},
    [VOICE_STICKS] = {{{1750, 0.4, 0.008}, {3400, 0.3, 0.006}}, {0.6, 0.004, 1500, 9000}},
    [VOICE_SNARE] = {{{310, 0.45, 0.022}, {560, 0.3, 0.016}, {920, 0.2, 0.012}},
                     {2, 0.03, 900, 5500}},
    [VOICE_TENOR] = {{{150, 0.6, 0.09}, {238, 0.25, 0.06}, {330, 0.15, 0.04}},
                     {0.5, 0.006, 800, 6000}},
    [VOICE_BASS] = {{{72, 0.6, 0.11}, {118, 0.4, 0.08}, {190, 0.25, 0.05}},
                    {0.6, 0.008, 200, 2500}},
    [VOICE_HAT] = {{{6200, 0.05, 0.02}}, {1.2, 0.03, 5000, 13000}},
    [VOICE_CYMBAL] = {{{3900, 0.03, 0.1}}, {1, 0.25, 3500, 12000}},
    [VOICE_CLAP] = {{{0}}, {1.2, 0.012, 700, 3000}},
};

static void ring(struct track *t, size_t from, double loud, double hz, double decay_s)
{
    const double shrink = exp(-1 / (decay_s * SCENE_RATE)), w = turn * hz / SCENE_RATE;
    const double twice = 2 * shrink * cos(w), square = shrink * shrink;
    const size_t lasts = (size_t)(7 * decay_s * SCENE_RATE);
    double before = 0, now = loud * shrink * sin(w);
    for (size_t i = from + 1; i < t->n && i < from + lasts; i++) {
        t->at[i] += (float)now;
        const double next = twice * now - square * before;
        before = now;
        now = next;
    }
}

static void hiss(struct track *t, struct dice *d, size_t from, const struct stroke *s)
{
    const struct voice_row *v = &voices[s->voice];
    const double shrink = exp(-1 / (v->noise.decay_s * SCENE_RATE));
    const double keep_low = exp(-turn * v->noise.low_hz / SCENE_RATE),
                 keep_high = exp(-turn * v->noise.high_hz / SCENE_RATE);
    const size_t lasts = (size_t)(7 * v->noise.decay_s * SCENE_RATE);
    double loud = s->loud * v->noise.loud, low = 0, high = 0;
    for (size_t i = from; i < t->n && i < from + lasts; i++, loud *= shrink) {
        high += (1 - keep_high) * (2 * dice_even(d) - 1 - high);
        low += (1 - keep_low) * (high - low);
        t->at[i] += (float)(loud * (high - low));
    }
}

void play_stroke(struct track *t, struct dice *d, const struct stroke *s)
{
    const struct voice_row *v = &voices[s->voice];
    if (s->at_s < 0)
        return;
    const size_t from = (size_t)llround(s->at_s * SCENE_RATE);
    for (int m = 0; m < MODES && v->mode[m].loud > 0; m++)
        ring(t, from, s->loud * v->mode[m].loud, s->tune * v->mode[m].hz, v->mode[m].decay_s);
    if (v->noise.loud > 0)
        hiss(t, d, from, s);
}

/* --- blown --------------------------------------------------------------------------------- */

enum { TURN = 2048, HARMONICS = 12, BLOCK = 32 };

struct waves {
    float dull[TIMBRES][TURN + 1], bright[TIMBRES][TURN + 1];
};

/* Loudness of the harmonics of a loud note; a soft one has the lower ones only. No source. */
static const double harmonics[TIMBRES][HARMONICS] = {
    [TIMBRE_BRASS] = {1, 0.95, 0.85, 0.7, 0.55, 0.42, 0.32, 0.22, 0.15, 0.1, 0.07, 0.05},
    [TIMBRE_REED] = {1, 0.15, 0.6, 0.15, 0.35, 0.12, 0.2, 0.08, 0.1, 0.05, 0.05, 0.03},
    [TIMBRE_FLUTE] = {1, 0.45, 0.2, 0.08, 0.04, 0.02, 0.01, 0, 0, 0, 0, 0},
};

struct waves *waves_make(void)
{
    struct waves *w = xcalloc(1, sizeof *w);
    for (size_t k = 0; k < TIMBRES; k++)
        for (size_t i = 0; i <= TURN; i++)
            for (size_t h = 0; h < HARMONICS; h++) {
                const double x = harmonics[k][h] * sin(turn * (double)(i * (h + 1)) / TURN);
                w->bright[k][i] += (float)(0.3 * x);
                w->dull[k][i] += (float)(0.3 * x * exp(-0.6 * (double)h));
            }
    return w;
}

void waves_free(struct waves *w)
{
    free(w);
}

/* Half a cosine from nothing to full reaches -10 dB here: acos(1 - 2 * 10^(-10/20)) / pi. */
static const double heard_part = 0.38018;

/* Loudness of a note, seconds after it is first blown: a tongued beginning that settles, and an end
 * of 50 ms. */
static double swell(const struct note *n, double s, double lasts)
{
    const double rise = s < n->attack_s ? (1 - cos(turn / 2 * s / n->attack_s)) / 2 : 1;
    const double settled = s < n->attack_s ? 1 : 0.8 + 0.2 * exp(-(s - n->attack_s) / 0.12);
    const double left = lasts - s, end = 0.05;
    const double fall = left < end ? (1 - cos(turn / 2 * fmax(left, 0) / end)) / 2 : 1;
    return rise * settled * fall;
}

void play_note(struct track *t, struct dice *d, const struct waves *w, const struct note *n)
{
    const double from_s = n->at_s - heard_part * n->attack_s;
    const double lasts = fmax(n->length_s + heard_part * n->attack_s, n->attack_s + 0.05);
    const double sway_hz = dice_between(d, 4.5, 6), sway = dice_between(d, 0.003, 0.008);
    const float *dull = w->dull[n->timbre], *bright = w->bright[n->timbre];
    const size_t first = (size_t)fmax(0, llround(from_s * SCENE_RATE));
    const size_t all = (size_t)(lasts * SCENE_RATE);
    double phase = dice_even(d), step = 0, loud = 0, grow = 0;
    for (size_t i = 0; i < all && first + i < t->n; i++) {
        if (i % BLOCK == 0) {
            const double s = (double)i / SCENE_RATE;
            const double vibrato = sway * fmin(s / 0.4, 1) * sin(turn * sway_hz * s);
            step = n->hz * (1 + vibrato) / SCENE_RATE;
            loud = n->loud * swell(n, s, lasts);
            grow = (n->loud * swell(n, s + (double)BLOCK / SCENE_RATE, lasts) - loud) / BLOCK;
        }
        const size_t k = (size_t)(phase * TURN);
        const double part = loud / n->loud;
        t->at[first + i] +=
            (float)(loud * (part * (double)bright[k] + (1 - part) * (double)dull[k]));
        loud += grow;
        phase += step;
        phase -= floor(phase);
    }
}
