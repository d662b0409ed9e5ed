#include "score/score.h"

double meter_length(struct meter m)
{
    return 4.0 * m.beats / m.unit;
}

double score_seconds(const struct score *s, double at)
{
    size_t low = 0, high = s->n_tempos;
    if (!high)
        return 0;
    while (high - low > 1) { /* the last tempo at or before the place */
        const size_t middle = low + (high - low) / 2;
        if (s->tempos[middle].at <= at)
            low = middle;
        else
            high = middle;
    }
    return s->tempos[low].s + (at - s->tempos[low].at) * 60 / s->tempos[low].bpm;
}

size_t score_measure_at(const struct score *s, double at)
{
    size_t low = 0, high = s->n_measures;
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (s->measures[middle].at <= at + 1e-6)
            low = middle;
        else
            high = middle;
    }
    return low;
}
