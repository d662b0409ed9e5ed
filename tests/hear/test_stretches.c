/* Where somebody talks, in sound whose talk is known. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "hear/stretches.h"
#include "lib/cases.h"

enum { MOST = 20 * SPEECH_RATE };
static int16_t sound[MOST];
static struct arena memory;

/* Hiss of so many dB of full scale from..to (seconds), added. */
static void add_hiss(double from, double to, double db)
{
    unsigned chance = 7;
    const double peak =
        32768 * pow(10, db / 20) * 1.732; /* even noise: its mean square is a third */
    for (size_t i = (size_t)(from * SPEECH_RATE); i < (size_t)(to * SPEECH_RATE); i++) {
        chance = chance * 1664525U + 1013904223U;
        const double x = sound[i] + peak * ((double)(chance >> 8) / 8388608.0 - 1);
        sound[i] = (int16_t)fmax(-32767, fmin(32767, x));
    }
}

static const struct row {
    const char *name;
    double seconds, noise_db;
    double talk[4][2]; /* from..to */
    double heard[4][2];
} rows[] = {
    {"nothing at all", 0, 0, {{0}}, {{0}}},
    {"less than a look", 0.005, 0, {{0}}, {{0}}},
    {"digital silence", 5, 0, {{0}}, {{0}}},
    {"a quiet room", 5, -66, {{0}}, {{0}}},
    {"one call", 4, -66, {{1, 3}}, {{1, 3}}},
    {"one call from the first sample to the last", 2, 0, {{0, 2}}, {{0, 2}}},
    {"a comma is no pause", 5, -66, {{1, 2}, {2.4, 3.5}}, {{1, 3.5}}},
    {"a pause is", 6, -66, {{1, 2}, {2.8, 4}}, {{1, 2}, {2.8, 4}}},
    {"three calls over noise", 12, -45, {{1, 3}, {5, 6}, {8, 11}}, {{1, 3}, {5, 6}, {8, 11}}},
    {"a knock is no talk", 6, -66, {{1, 1.1}, {3, 4}}, {{3, 4}}},
};

static void talk_is_found(void **state)
{
    const struct row *r = *state;
    memset(sound, 0, sizeof sound);
    if (r->noise_db < 0)
        add_hiss(0, r->seconds, r->noise_db);
    for (size_t i = 0; i < 4 && r->talk[i][1] > 0; i++)
        add_hiss(r->talk[i][0], r->talk[i][1], -20);
    const struct speech_samples all = {sound, (size_t)(r->seconds * SPEECH_RATE)};
    const struct stretch_list l = stretches_of(&memory, &all);
    size_t n = 0;
    while (n < 4 && r->heard[n][1] > 0)
        n++;
    assert_int_equal(l.n, n);
    for (size_t i = 0; i < n; i++) {
        const double from = (double)l.at[i].from / SPEECH_RATE,
                     to = (double)l.at[i].to / SPEECH_RATE;
        assert_true(from <= r->heard[i][0] && from >= fmax(r->heard[i][0] - 0.3, 0));
        assert_true(to >= r->heard[i][1] - 0.01 && to <= fmin(r->heard[i][1] + 0.3, r->seconds));
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, talk_is_found);
    const int failed = cases_run(&all, "stretches");
    arena_free(&memory);
    return failed;
}
