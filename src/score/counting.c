#include "score/counting.h"

#include <math.h>
#include <string.h>

bool count_beat_named(const char *name, enum count_beat *out)
{
    static const char *const names[] = {[BEAT_EIGHTH] = "eighth",
                                        [BEAT_QUARTER] = "quarter",
                                        [BEAT_DOTTED_QUARTER] = "dotted-quarter",
                                        [BEAT_HALF] = "half"};
    for (size_t i = BEAT_EIGHTH; i <= BEAT_HALF; i++)
        if (strcmp(names[i], name) == 0) {
            *out = (enum count_beat)i;
            return true;
        }
    return false;
}

double count_beat_of(struct meter m, enum count_beat beat)
{
    static const double quarters[] = {
        [BEAT_EIGHTH] = 0.5, [BEAT_QUARTER] = 1, [BEAT_DOTTED_QUARTER] = 1.5, [BEAT_HALF] = 2};
    if (beat != BEAT_OF_METER)
        return quarters[beat];
    const bool compound = m.unit >= 8 && m.beats > 3 && m.beats % 3 == 0;
    return (compound ? 12.0 : 4.0) / m.unit;
}

void counting_of(struct arena *a, const struct score *score, enum count_beat beat,
                 struct counting *out)
{
    const size_t n = score->n_measures;
    *out = (struct counting){.score = score,
                             .before = arena_alloc(a, (n + 1) * sizeof *out->before),
                             .beat = arena_alloc(a, n * sizeof *out->beat)};
    for (size_t i = 0; i < n; i++) {
        const struct score_measure *m = &score->measures[i];
        out->beat[i] = count_beat_of(m->meter, beat);
        out->before[i + 1] = out->before[i] + m->length / out->beat[i];
    }
    const struct score_measure *first = &score->measures[0];
    const double part = out->before[1] - floor(out->before[1] + 1e-6);
    if (first->length < meter_length(first->meter) - 1e-6 && part > 1e-6)
        out->pickup = part;
    out->n = out->before[n] - out->pickup;
}

double counting_at(const struct counting *c, double at)
{
    const size_t i = score_measure_at(c->score, at);
    return c->before[i] + (at - c->score->measures[i].at) / c->beat[i] - c->pickup;
}

size_t counting_measure(const struct counting *c, double count)
{
    const double passed = count + c->pickup + 1e-6;
    size_t low = 0, high = c->score->n_measures;
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (c->before[middle] <= passed)
            low = middle;
        else
            high = middle;
    }
    return low;
}

void counting_times(const struct counting *c, size_t from, size_t to, double *s)
{
    size_t m = counting_measure(c, (double)from);
    for (size_t count = from; count <= to; count++) {
        const double passed = (double)count + c->pickup;
        while (m + 1 < c->score->n_measures && c->before[m + 1] <= passed + 1e-6)
            m++;
        s[count - from] = score_seconds(c->score, c->score->measures[m].at +
                                                      (passed - c->before[m]) * c->beat[m]);
    }
}
