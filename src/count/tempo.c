#include "count/tempo.h"

#include <math.h>
#include <string.h>

#include "base/near.h"
#include "base/utf8.h"

enum { BPM_LEAST = 10, BPM_MOST = 400, HOLD_MOST_S = 600, COUNTS_MOST = 10000 };

/* Below this slope a ramp over any set is steady to the last digit, and 1 / slope is still safe. */
static const double flat = 1e-12;

double ramp_seconds(double bpm, double slope, double counts)
{
    if (fabs(slope) < flat)
        return 60 * counts / bpm;
    return 60 / slope * log1p(slope * counts / bpm);
}

double ramp_counts(double bpm, double slope, double seconds)
{
    if (fabs(slope) < flat)
        return bpm * seconds / 60;
    return bpm / slope * expm1(slope * seconds / 60);
}

static bool bpm_sound(double bpm)
{
    return bpm >= BPM_LEAST && bpm <= BPM_MOST;
}

bool moves_check(struct moves sets, struct err *e)
{
    for (size_t i = 0; i < sets.n; i++) {
        const struct move *m = &sets.at[i];
        if (m->counts < 0 || m->counts > COUNTS_MOST)
            return err_set(e, ERR_INPUT, "set %s: %d counts; a set has 0 to %d", m->label,
                           m->counts, COUNTS_MOST);
        const bool unknown = m->bpm0 == 0 && m->bpm1 == 0;
        if (!unknown && !(bpm_sound(m->bpm0) && (m->bpm1 == 0 || bpm_sound(m->bpm1))))
            return err_set(e, ERR_INPUT,
                           "set %s: tempo %g to %g bpm; write %d to %d, or leave it empty when it "
                           "is not known",
                           m->label, m->bpm0, m->bpm1, BPM_LEAST, BPM_MOST);
        if (!(m->hold_s >= 0 && m->hold_s <= HOLD_MOST_S))
            return err_set(e, ERR_INPUT, "set %s: a hold of %g s; it lasts 0 to %d s", m->label,
                           m->hold_s, HOLD_MOST_S);
    }
    return true;
}

int move_find(struct moves sets, const char *label, struct err *e)
{
    struct near near = {.word = label};
    int folded = -1;
    for (size_t i = 0; i < sets.n; i++) {
        if (strcmp(sets.at[i].label, label) == 0)
            return (int)i;
        if (folded < 0 && utf8_casecmp(sets.at[i].label, label) == 0)
            folded = (int)i;
        near_offer(&near, sets.at[i].label);
    }
    if (folded >= 0)
        return folded;
    if (sets.n == 0)
        err_set(e, ERR_INPUT, "no set '%s': the show has no sets yet", label);
    else if (near.best)
        err_set(e, ERR_INPUT, "no set '%s' in the show%s", label, near_said(&near, "").text);
    else
        err_set(e, ERR_INPUT, "no set '%s' in the show; its sets go from '%s' to '%s'", label,
                sets.at[0].label, sets.at[sets.n - 1].label);
    return -1;
}

bool tempo_known(const struct move *m)
{
    return m->bpm0 > 0 || m->counts == 0;
}

double tempo_slope(const struct move *m)
{
    return m->bpm1 > 0 && m->counts > 0 ? (m->bpm1 - m->bpm0) / m->counts : 0;
}

double tempo_bpm(const struct move *m, double count)
{
    return m->bpm0 > 0 ? m->bpm0 + tempo_slope(m) * (count - 1) : 0;
}

double tempo_seconds(const struct move *m, double count)
{
    if (m->counts == 0)
        return 0;
    return m->bpm0 > 0 ? ramp_seconds(m->bpm0, tempo_slope(m), count - 1) : NAN;
}

double tempo_count(const struct move *m, double seconds)
{
    if (m->counts == 0)
        return 1;
    return m->bpm0 > 0 ? 1 + ramp_counts(m->bpm0, tempo_slope(m), seconds) : NAN;
}

double tempo_length(const struct move *m)
{
    return tempo_seconds(m, m->counts + 1.0) + m->hold_s;
}

bool place_after(const struct passage *p, double counts, struct place *out)
{
    const struct move *sets = p->sets.at;
    double passed = p->first.count - 1 + counts;
    for (size_t i = (size_t)p->first.set; i < p->sets.n; i++) {
        if (passed < sets[i].counts) {
            *out = (struct place){(int)i, 1 + passed, 0};
            return true;
        }
        passed -= sets[i].counts;
    }
    return false;
}

size_t written_counts(const struct passage *p, double *w, size_t max)
{
    const struct move *sets = p->sets.at;
    const struct place *from = &p->first;
    size_t k = 0;
    double count = from->count, before = 0;
    for (size_t i = (size_t)from->set; i < p->sets.n && tempo_known(&sets[i]); i++) {
        const double from_s = i == (size_t)from->set ? tempo_seconds(&sets[i], from->count) : 0;
        for (; count < sets[i].counts + 1.0; count++) {
            if (k == max)
                return k;
            w[k++] = before + tempo_seconds(&sets[i], count) - from_s;
        }
        count -= sets[i].counts;
        before += tempo_length(&sets[i]) - from_s;
    }
    return k;
}
