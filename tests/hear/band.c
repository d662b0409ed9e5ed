#include "band.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

static double chance(struct band *b)
{
    b->seed = b->seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (double)(b->seed >> 11) / 9007199254740992.0;
}

void band_open(struct band *b, double seconds, uint64_t seed)
{
    *b = (struct band){.n = (size_t)(seconds * BAND_RATE), .seed = seed};
    b->samples = xcalloc(b->n, sizeof *b->samples);
    b->beat = xcalloc(4096, sizeof *b->beat);
}

void band_close(struct band *b)
{
    free(b->samples);
    free(b->beat);
}

/* A stroke: tone of hz (or noise, hz 0) that dies away by e every decay_s. */
static void stroke(struct band *b, double at_s, double loud, double hz, double decay_s)
{
    const size_t from = (size_t)llround(at_s * BAND_RATE);
    for (size_t i = 0; i < (size_t)(8 * decay_s * BAND_RATE) && from + i < b->n; i++) {
        const double t = (double)i / BAND_RATE;
        const double wave = hz > 0 ? sin(6.283185307179586 * hz * t) : 2 * chance(b) - 1;
        b->samples[from + i] += (float)(loud * wave * exp(-t / decay_s));
    }
}

static void play_beat(struct band *b, enum band_kind kind, size_t k, double at, double length)
{
    if (kind == BAND_CLICK)
        stroke(b, at, 0.5, 1000, 0.008);
    if (kind == BAND_DRUMS) {
        stroke(b, at, k % 2 ? 0.45 : 0.6, k % 2 ? 0 : 70, k % 2 ? 0.04 : 0.07);
        stroke(b, at, 0.2, 0, 0.004); /* beater or stick */
        stroke(b, at + length / 2, 0.12, 0, 0.01);
    }
    for (int part = 0; kind == BAND_SNARE && part < 4; part++)
        stroke(b, at + length * part / 4, part ? 0.15 : 0.5, 0, 0.02);
}

void band_play(struct band *b, enum band_kind kind, double bpm0, double bpm1, double from_s,
               size_t beats)
{
    double at = from_s;
    const double ramp0 = 0.3 * (double)beats, ramp1 = 0.7 * (double)beats;
    for (size_t k = 0; k < beats; k++) {
        const double part = fmin(fmax(((double)k - ramp0) / (ramp1 - ramp0), 0), 1);
        const double length = 60 / (bpm0 + part * (bpm1 - bpm0));
        b->beat[b->n_beats++] = at;
        play_beat(b, kind, k, at, length);
        at += length;
    }
}

void band_noise(struct band *b, double db)
{
    const double peak = pow(10, db / 20) * sqrt(3); /* rms of an even spread is peak / sqrt(3) */
    for (size_t i = 0; i < b->n; i++)
        b->samples[i] += (float)(peak * (2 * chance(b) - 1));
}

static void put(FILE *f, unsigned long v, int bytes)
{
    for (int i = 0; i < bytes; i++)
        fputc((int)(v >> 8 * i & 255), f);
}

void band_write(const struct band *b, const char *path)
{
    FILE *f = fopen(path, "wb");
    if (!f)
        abort();
    fputs("RIFF", f);
    put(f, 36 + 2 * b->n, 4);
    fputs("WAVEfmt ", f);
    put(f, 16, 4);
    put(f, 1, 2);
    put(f, 1, 2);
    put(f, BAND_RATE, 4);
    put(f, BAND_RATE * 2, 4);
    put(f, 2, 2);
    put(f, 16, 2);
    fputs("data", f);
    put(f, 2 * b->n, 4);
    for (size_t i = 0; i < b->n; i++) {
        const double x = fmin(fmax((double)b->samples[i], -1), 1);
        put(f, (unsigned long)(uint16_t)(int16_t)lround(x * 32767), 2);
    }
    fclose(f);
}
