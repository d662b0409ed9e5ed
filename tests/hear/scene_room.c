/* Rooms: a far stand that answers, a diffuse tail, a phone's microphone. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "scene_inner.h"

static const double turn = 6.283185307179586;

static double gain_of(double db)
{
    return pow(10, db / 20);
}

/* Low pass of one pole. */
struct dull {
    double keep, now;
};

static struct dull dull_make(double hz)
{
    return (struct dull){.keep = exp(-turn * hz / SCENE_RATE)};
}

static double dull_next(struct dull *f, double x)
{
    f->now = f->keep * f->now + (1 - f->keep) * x;
    return f->now;
}

/* --- the far stand ------------------------------------------------------------------------- */

/* Rows of seats answer one after the other, the air takes the highs. Their energies add up to 1. */
static const struct {
    double later_s, energy;
} seats[] = {{0, 0.5}, {0.006, 0.3}, {0.014, 0.2}};

static void slap_add(const struct track *dry, struct track *wet, const struct scene_air *air)
{
    for (size_t k = 0; k < sizeof seats / sizeof *seats; k++) {
        const size_t late = (size_t)((air->slap_s + seats[k].later_s) * SCENE_RATE);
        const double loud = gain_of(air->slap_db) * sqrt(seats[k].energy);
        struct dull air_between = dull_make(6000);
        for (size_t i = late; i < wet->n; i++)
            wet->at[i] += (float)(loud * dull_next(&air_between, (double)dry->at[i - late]));
    }
}

/* --- the tail ------------------------------------------------------------------------------ */

/* Delay lines that feed each other through a Hadamard matrix (J.-M. Jot, A. Chaigne, 'Digital delay
 * networks for designing artificial reverberators', 90th AES Convention, 1991, from memory): each
 * loses 60 dB in rt60_s. */
enum { LINES = 8, LONGEST = 3600 };
static const size_t line_lengths[LINES] = {1117, 1361, 1663, 1973, 2347, 2687, 3089, 3547};

struct tail {
    float line[LINES][LONGEST];
    size_t at[LINES], length[LINES];
    double keep[LINES];
    struct dull high[LINES]; /* highs die sooner */
};

static struct tail *tail_make(double rt60_s)
{
    struct tail *t = xcalloc(1, sizeof *t);
    /* A small room has short ways. */
    const double size = rt60_s < 1 ? 0.5 : 1;
    for (size_t k = 0; k < LINES; k++) {
        t->length[k] = (size_t)(size * (double)line_lengths[k]);
        t->keep[k] = pow(10, -3 * (double)t->length[k] / SCENE_RATE / rt60_s);
        t->high[k] = dull_make(9000);
    }
    return t;
}

static void mix_lines(double *v)
{
    for (size_t width = 1; width < LINES; width *= 2)
        for (size_t i = 0; i < LINES; i++)
            if (!(i & width)) {
                const double a = v[i], b = v[i | width];
                v[i] = a + b;
                v[i | width] = a - b;
            }
}

static double tail_next(struct tail *t, double x)
{
    double v[LINES], sum = 0;
    for (size_t k = 0; k < LINES; k++) {
        v[k] = t->keep[k] * dull_next(&t->high[k], (double)t->line[k][t->at[k]]);
        sum += k % 2 ? -v[k] : v[k];
    }
    mix_lines(v);
    for (size_t k = 0; k < LINES; k++) {
        t->line[k][t->at[k]] = (float)(x + v[k] / sqrt(LINES));
        t->at[k] = (t->at[k] + 1) % t->length[k];
    }
    return sum;
}

/* Energy of what a single sample of 1 leaves behind. */
static double tail_energy(double rt60_s)
{
    struct tail *t = tail_make(rt60_s);
    double sum = 0;
    for (size_t i = 0; i < (size_t)(rt60_s * SCENE_RATE); i++) {
        const double y = tail_next(t, i == 0);
        sum += y * y;
    }
    free(t);
    return sum;
}

static void tail_add(const struct track *dry, struct track *wet, const struct scene_air *air)
{
    const double loud = gain_of(air->tail_db) / sqrt(tail_energy(air->rt60_s));
    struct tail *t = tail_make(air->rt60_s);
    for (size_t i = 0; i < wet->n; i++)
        wet->at[i] += (float)(loud * tail_next(t, (double)dry->at[i]));
    free(t);
}

void room_add(struct track *t, const struct scene_air *air)
{
    struct track dry = {xcalloc(t->n, sizeof(float)), t->n};
    memcpy(dry.at, t->at, t->n * sizeof *t->at);
    if (air->slap_s > 0)
        slap_add(&dry, t, air);
    if (air->rt60_s > 0)
        tail_add(&dry, t, air);
    free(dry.at);
}

/* --- the microphone ------------------------------------------------------------------------ */

void phone_hear(struct track *t)
{
    struct dull rumble = dull_make(100), rest = dull_make(100);
    for (size_t i = 0; i < t->n; i++) {
        const double x = (double)t->at[i], y = x - dull_next(&rumble, x);
        t->at[i] = (float)(y - dull_next(&rest, y));
    }
}

/* --- levels -------------------------------------------------------------------------------- */

double track_level(const struct track *t, const struct sheet *sheet)
{
    double sum = 0;
    size_t n = 0;
    for (size_t k = 0; k < sheet->n; k++) {
        const struct leg *l = &sheet->leg[k];
        const double to_s = l->at[l->n] + (sheet->held ? l->hold_s : 0);
        const size_t to = (size_t)(to_s * SCENE_RATE);
        for (size_t i = (size_t)(l->at[0] * SCENE_RATE); i < to && i < t->n; i++, n++)
            sum += (double)t->at[i] * (double)t->at[i];
    }
    return n > 0 ? sqrt(sum / (double)n) : 0;
}

void track_mix(struct track *t, const struct track *more, double gain)
{
    for (size_t i = 0; i < t->n; i++)
        t->at[i] += (float)(gain * (double)more->at[i]);
}
