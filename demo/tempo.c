#include <math.h>

#include "demo/tempo.h"

double set_tempo(const struct set *s, double c)
{
    return s->tempo + (s->tempo_end - s->tempo) * c / s->counts;
}

double set_seconds(const struct set *s, double c)
{
    const double change = s->tempo_end - s->tempo;
    if (change == 0)
        return 60 * c / s->tempo;
    return 60 * s->counts / change * log(set_tempo(s, c) / s->tempo);
}

static double set_count(const struct set *s, double at_s)
{
    const double change = s->tempo_end - s->tempo;
    if (change == 0)
        return at_s * s->tempo / 60;
    return s->counts * s->tempo / change * expm1(change * at_s / (60 * s->counts));
}

struct tempo tempo_make(struct arena *a, const struct drill *d, double lead_in_s)
{
    struct tempo t = {d, arena_alloc(a, (d->n_sets + 1) * sizeof *t.start_s)};
    t.start_s[0] = lead_in_s;
    for (size_t i = 0; i < d->n_sets; i++)
        t.start_s[i + 1] =
            t.start_s[i] + set_seconds(&d->sets[i], d->sets[i].counts) + d->sets[i].hold_s;
    return t;
}

double tempo_at(const struct tempo *t, int set, double c)
{
    const struct drill *d = t->drill;
    while (c < 0 && set > 0)
        c += d->sets[--set].counts;
    while (c > d->sets[set].counts && set + 1 < (int)d->n_sets)
        c -= d->sets[set++].counts;
    const struct set *s = &d->sets[set];
    if (c < 0)
        return t->start_s[set] + 60 * c / s->tempo;
    if (c > s->counts)
        return t->start_s[set + 1] + 60 * (c - s->counts) / s->tempo_end;
    return t->start_s[set] + set_seconds(s, c);
}

struct place tempo_place(const struct tempo *t, double at_s)
{
    const struct drill *d = t->drill;
    struct place p = {0};
    if (at_s < t->start_s[0])
        return (struct place){.before = true};
    while (p.set + 1 < (int)d->n_sets && at_s >= t->start_s[p.set + 1])
        p.set++;
    const struct set *s = &d->sets[p.set];
    p.c = set_count(s, at_s - t->start_s[p.set]);
    p.after = at_s >= t->start_s[d->n_sets];
    if (p.c >= s->counts) {
        p.holding = !p.after;
        p.c = s->counts;
    }
    if (p.after)
        p.c += (at_s - t->start_s[d->n_sets]) * s->tempo_end / 60;
    return p;
}

double tempo_counts(const struct tempo *t, const struct place *p)
{
    double sum = p->c;
    for (int i = 0; i < p->set; i++)
        sum += t->drill->sets[i].counts;
    return sum;
}
