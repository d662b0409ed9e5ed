#include "count/map.h"

#include <math.h>

#include "count/map_inner.h"

double seg_seconds(const struct seg *s, double x)
{
    const double written = s->hold      ? x - s->x0
                           : x == s->x0 ? 0
                                        : ramp_seconds(s->bpm, s->slope, x - s->x0);
    return written / s->ratio;
}

double seg_x(const struct seg *s, double seconds)
{
    const double written = seconds * s->ratio;
    const double x = s->x0 + (s->hold ? written : ramp_counts(s->bpm, s->slope, written));
    return fmin(fmax(x, s->x0), s->x1);
}

/* Index of the last start <= us, when there is one; the loop has no branch to mispredict. */
static size_t search(const double *starts, size_t n, double us)
{
    const double *base = starts;
    while (n > 1) {
        const size_t half = n / 2;
        base += base[half] <= us ? half : 0;
        n -= half;
    }
    return (size_t)(base - starts);
}

bool map_at_exact(const struct map *m, double us, struct spot *out)
{
    if (m->n_segs == 0)
        return false;
    const struct seg *s = &m->segs[search(m->starts, m->n_segs, us)];
    if (us < s->from_us || us > s->to_us)
        return false;
    const double x = seg_x(s, (us - s->from_us) * 1e-6);
    *out = (struct spot){
        .stretch = s->stretch,
        .set = s->set,
        .count = s->hold ? m->sets[s->set].counts + 1 : x,
        .hold_s = s->hold ? x : 0,
        .bpm = s->hold ? 0 : (s->bpm + s->slope * (x - s->x0)) * s->ratio,
        .ratio = s->ratio,
        .in_hold = s->hold,
        .tied = s->tied,
    };
    return true;
}

bool map_at(const struct map *m, int64_t us, struct spot *out)
{
    return map_at_exact(m, (double)us, out);
}

/* --- place -> time ------------------------------------------------------------------------- */

/* Does the segment begin at or before x of the set's counts (or hold)? */
static bool begins_by(const struct seg *s, int set, bool hold, double x)
{
    if (s->set != set)
        return s->set < set;
    return s->hold == hold ? s->x0 <= x : !s->hold;
}

static bool when_in(const struct map *m, size_t stretch, const struct place *p, double *us)
{
    const bool hold = p->hold_s > 0;
    const double x = hold ? p->hold_s : p->count;
    size_t lo = m->first_seg[stretch], hi = m->first_seg[stretch + 1];
    while (lo < hi) {
        const size_t mid = lo + (hi - lo) / 2;
        if (begins_by(&m->segs[mid], p->set, hold, x))
            lo = mid + 1;
        else
            hi = mid;
    }
    if (lo == m->first_seg[stretch])
        return false;
    const struct seg *s = &m->segs[lo - 1];
    if (s->set != p->set || s->hold != hold || x > s->x1)
        return false;
    *us = s->from_us + seg_seconds(s, x) * 1e6;
    return true;
}

/* The first whole microsecond that is not before t, where t itself is only known to 1e-3 us. */
static int64_t whole_us(double t)
{
    return (int64_t)ceil(t - 1e-3);
}

size_t map_when(const struct map *m, int stretch, const struct place *p, struct map_time *out,
                size_t max)
{
    size_t n = 0;
    for (size_t i = 0; i < m->n_stretches; i++) {
        double us;
        if ((stretch >= 0 && (size_t)stretch != i) || !when_in(m, i, p, &us))
            continue;
        if (n < max)
            out[n] = (struct map_time){(int)i, whole_us(us), us};
        n++;
    }
    return n;
}

/* --- what is placed ------------------------------------------------------------------------ */

const struct map_span *map_spans(const struct map *m, size_t *n)
{
    *n = m->n_spans;
    return m->spans;
}

const struct map_leg *map_legs(const struct map *m, size_t *n)
{
    *n = m->n_legs;
    return m->legs;
}

const struct map_stretch *map_stretches(const struct map *m, size_t *n)
{
    *n = m->n_stretches;
    return m->stretches;
}

/* Number of spans that begin at or before us. */
static size_t spans_by(const struct map *m, int64_t us)
{
    size_t lo = 0, hi = m->n_spans;
    while (lo < hi) {
        const size_t mid = lo + (hi - lo) / 2;
        if (m->spans[mid].from_us <= us)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

bool map_boundary(const struct map *m, int64_t us, enum map_side side, struct map_span *out)
{
    const size_t after = spans_by(m, us);
    size_t before = after;
    if (side == MAP_BEFORE)
        while (before > 0 && m->spans[before - 1].from_us == us)
            before--;
    const bool has_before = before > 0 && side != MAP_AFTER;
    const bool has_after = after < m->n_spans && side != MAP_BEFORE;
    if (!has_before && !has_after)
        return false;
    const bool take_after = has_after && (!has_before || m->spans[after].from_us - us <
                                                             us - m->spans[before - 1].from_us);
    *out = m->spans[take_after ? after : before - 1];
    return true;
}

/* --- moving by counts ---------------------------------------------------------------------- */

/* When the stretch has counted `elapsed` counts of the show. Where a set ends and the next begins
 * that is the beginning of the next, past a hold between them, if the stretch gets there. */
static bool when_elapsed(const struct map *m, int stretch, double elapsed, int64_t *out)
{
    if (elapsed < 0 || elapsed > m->before[m->n_sets])
        return false;
    size_t set = search(m->before, m->n_sets, elapsed);
    struct place p = {(int)set, 1 + elapsed - m->before[set], 0};
    struct map_time t;
    size_t found = map_when(m, stretch, &p, &t, 1);
    while (!found && set > 0 && elapsed == m->before[set]) {
        set--;
        p = (struct place){(int)set, m->sets[set].counts + 1, 0};
        found = map_when(m, stretch, &p, &t, 1);
    }
    if (found)
        *out = t.us;
    return found > 0;
}

double map_elapsed(const struct map *m, const struct spot *s)
{
    return m->before[s->set] + s->count - 1;
}

bool map_shift(const struct map *m, int64_t us, double counts, int64_t *out)
{
    struct spot s;
    return map_at(m, us, &s) && when_elapsed(m, s.stretch, map_elapsed(m, &s) + counts, out);
}

bool map_step(const struct map *m, int64_t us, int n, int64_t slack_us, int64_t *out)
{
    struct spot s;
    if (!map_at(m, us, &s))
        return false;
    const double elapsed = map_elapsed(m, &s);
    const double slack = 1e-4 + (double)slack_us * 1e-6 * s.bpm / 60;
    if (n < 0)
        return when_elapsed(m, s.stretch, ceil(elapsed - slack) + n, out);
    /* In a hold the next count is the first of the next set. */
    return when_elapsed(m, s.stretch, floor(elapsed + slack) + n - s.in_hold, out);
}

double map_error_us(const struct map *m, int stretch, double us)
{
    const struct map_stretch *st = &m->stretches[stretch];
    const struct map_anchor *a = &m->anchors[st->first], *b = &m->anchors[st->last];
    while (a < b && (double)a[1].us <= us)
        a++;
    if (a == b || us <= (double)a->us) {
        const double away = MAP_TEMPO_ERROR * (us - (double)a->us);
        return a->error_us > 0 ? hypot((double)a->error_us, away) : 0;
    }
    const double part = (us - (double)a->us) / (double)(a[1].us - a->us);
    return hypot((1 - part) * (double)a->error_us, part * (double)a[1].error_us);
}

struct map_anchors map_ties(const struct map *m)
{
    return (struct map_anchors){m->anchors, m->n_anchors};
}

struct moves map_moves(const struct map *m)
{
    return (struct moves){m->sets, m->n_sets};
}
