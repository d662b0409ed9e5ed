#include <math.h>

#include "demo/sound.h"
#include "demo/stance.h"

static const double CLICK_S = 0.060, CLICK_HZ = 1600, DOWNBEAT_HZ = 2200, DECAY_S = 0.012,
                    FEET_PER_METER = 1 / 0.3048;

struct sound sound_make(struct arena *a, const struct tempo *t, const struct view *w,
                        double temperature_c, double end_s)
{
    const struct drill *d = t->drill;
    size_t most = 0;
    struct sound s = {.source = {0, 160.0 / 3, 4}, .temperature_c = temperature_c};
    const double dx = w->at.x - s.source.x, dy = w->at.y - s.source.y, dz = w->at.z - s.source.z;
    s.speed_m_s = 331.3 * sqrt(1 + temperature_c / 273.15);
    s.distance_ft = sqrt(dx * dx + dy * dy + dz * dz);
    s.delay_s = s.distance_ft / FEET_PER_METER / s.speed_m_s;
    for (size_t i = 0; i < d->n_sets; i++)
        most += (size_t)d->sets[i].counts;
    s.beat = arena_alloc(a, most * sizeof *s.beat);
    for (size_t i = 0; i < d->n_sets; i++) {
        for (int k = 1; k <= d->sets[i].counts; k++) {
            const double at = tempo_at(t, (int)i, k - 1);
            if (at < end_s)
                s.beat[s.n_beats++] = (struct beat){(int)i, k, at, at + s.delay_s};
        }
    }
    return s;
}

static double click(const struct beat *b, double since_s)
{
    const bool down = b->count % 4 == 1;
    const double hz = down ? DOWNBEAT_HZ : CLICK_HZ;
    return (down ? 0.65 : 0.45) * exp(-since_s / DECAY_S) * sin(2 * M_PI * hz * since_s);
}

void sound_samples(const struct sound *s, int64_t from, int n, float *out)
{
    size_t first = 0;
    const double start_s = (double)from / SOUND_RATE;
    while (first < s->n_beats && s->beat[first].heard_s + CLICK_S < start_s)
        first++;
    for (int i = 0; i < n; i++) {
        const double at_s = (double)(from + i) / SOUND_RATE;
        double sum = 0.004 * (scatter_unit(5, (uint64_t)(from + i), 0) - 0.5); /* a little wind */
        for (size_t k = first; k < s->n_beats && s->beat[k].heard_s <= at_s; k++)
            if (at_s < s->beat[k].heard_s + CLICK_S)
                sum += click(&s->beat[k], at_s - s->beat[k].heard_s);
        out[i] = (float)sum;
    }
}
