#include "count/late.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include <gsl/gsl_statistics_double.h>

#include "base/number.h"
#include "count/map_inner.h"

struct late late_steady(int64_t due_us, int64_t seen_us, double bpm, int64_t frame_us)
{
    const double us = (double)seen_us - (double)due_us;
    return (struct late){
        .counts = us * 1e-6 * bpm / 60,
        .ms = us * 1e-3,
        .error_counts = (double)frame_us * 1e-6 * bpm / 60,
        .error_ms = (double)frame_us * 1e-3,
    };
}

/* The stretch whose time is nearest to us among those that hold the place. */
static bool due_time(const struct map *m, const struct place *due, int64_t us, struct map_time *out)
{
    struct map_time t;
    size_t n, found = 0;
    const struct map_stretch *st = map_stretches(m, &n);
    for (size_t i = 0; i < n; i++) {
        if (!map_when(m, (int)i, due, &t, 1))
            continue;
        const bool inside = us >= st[i].from_us && us <= st[i].to_us;
        if (found++ == 0 || inside || us_apart(t.us, us) < us_apart(out->us, us))
            *out = t;
        if (inside)
            return true;
    }
    return found > 0;
}

static bool hold_between(const struct map *m, int a, int b)
{
    for (int i = a < b ? a : b; i < (a < b ? b : a); i++)
        if (m->sets[i].hold_s > 0)
            return true;
    return false;
}

/* Tempo at the due place; where a hold begins, that of the counts before it. */
static double due_bpm(const struct map *m, double us, const struct spot *at)
{
    struct spot before;
    if (!at->in_hold)
        return at->bpm;
    return map_at_exact(m, us - 1, &before) && before.stretch == at->stretch ? before.bpm : 0;
}

bool late_in_map(const struct map *m, const struct place *due, struct sight seen, struct late *out,
                 struct err *e)
{
    struct map_time t = {0};
    struct spot at, then;
    if (!due_time(m, due, seen.us, &t) || !map_at_exact(m, t.exact_us, &at))
        return err_set(e, ERR_INPUT,
                       "that set and count is nowhere in this clip as it is tied; tie it where it "
                       "is played");
    const double bpm = due_bpm(m, t.exact_us, &at);
    if (bpm <= 0)
        return err_set(e, ERR_INPUT, "there is no tempo at that set and count; give its set one");
    const double error_us = hypot(hypot((double)seen.frame_us, (double)seen.hand_us),
                                  map_error_us(m, t.stretch, t.exact_us));
    *out = late_steady(0, 0, bpm, near_within(error_us, 0, INT64_MAX));
    out->ms = ((double)seen.us - t.exact_us) * 1e-3;
    out->counts = out->ms * 1e-3 * bpm / 60;
    if (map_at(m, seen.us, &then) && then.stretch == t.stretch && !then.in_hold && !at.in_hold &&
        !hold_between(m, then.set, at.set))
        out->counts = map_elapsed(m, &then) - map_elapsed(m, &at);
    return true;
}

void late_format(const struct late *l, char out[48])
{
    char error[16] = "";
    const double tenths = round(fabs(l->counts) * 10) / 10;
    if (l->error_counts > 0)
        snprintf(error, sizeof error, " (+-%.1f)", fmin(fmax(l->error_counts, 0.1), 99));
    if (tenths == 0)
        snprintf(out, 48, "on time%s", error);
    else
        snprintf(out, 48, "%.1f count%s %s%s", fmin(tenths, 1e9), tenths == 1 ? "" : "s",
                 l->counts > 0 ? "late" : "early", error);
}

/* --- ripple -------------------------------------------------------------------------------- */

static int64_t median_us(const struct seen *seen, size_t n)
{
    /* Relative to the first, so that no digits are lost. */
    double *t = xcalloc(n, sizeof *t);
    for (size_t i = 0; i < n; i++)
        t[i] = (double)seen[i].us - (double)seen[0].us;
    const double median = gsl_stats_median(t, 1, n);
    free(t);
    return us_sum(seen[0].us, near_within(median, INT64_MIN, INT64_MAX));
}

bool ripple_measure(struct arena *a, const struct ripple_seen *in, struct ripple *out,
                    struct err *e)
{
    const struct seen *seen = in->seen;
    const size_t n = in->n;
    if (n < 2)
        return err_set(e, ERR_INPUT,
                       "%zu moment%s: a ripple needs two or more, one for each performer", n,
                       n == 1 ? "" : "s");
    if (!(in->bpm > 0))
        return err_set(e, ERR_INPUT, "no tempo here: tie the clip to the sets, or tap the beat");
    const double tolerance = in->tolerance_counts > 0 ? in->tolerance_counts : 0.1;
    *out = (struct ripple){
        .against_us = in->due_us >= 0 ? in->due_us : median_us(seen, n),
        .each = arena_alloc(a, n * sizeof *out->each),
        .off = arena_alloc(a, n * sizeof *out->off),
    };
    for (size_t i = 0; i < n; i++) {
        out->first = seen[i].us < seen[out->first].us ? i : out->first;
        out->last = seen[i].us > seen[out->last].us ? i : out->last;
        out->each[i] = late_steady(out->against_us, seen[i].us, in->bpm, in->frame_us);
        out->off[i] = fabs(out->each[i].counts) > tolerance;
        out->n_off += out->off[i];
    }
    const struct late spread =
        late_steady(seen[out->first].us, seen[out->last].us, in->bpm, in->frame_us);
    out->spread_counts = spread.counts;
    out->spread_ms = spread.ms;
    out->error_counts = spread.error_counts;
    return true;
}
