#include "count/beats.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "count/beats_inner.h"

enum { ONSETS_LEAST = 8, LOOKS_LEAST = 400 };

struct beat_prior beat_prior_of_map(struct arena *a, const struct map *m, int64_t from_us,
                                    int64_t to_us)
{
    enum { STEP_US = 250000 };
    const size_t most = to_us > from_us ? 1 + (size_t)((to_us - from_us) / STEP_US) : 0;
    struct tempo_point *points = arena_alloc(a, most * sizeof *points);
    size_t n = 0;
    for (size_t i = 0; i < most; i++) {
        struct spot s;
        const int64_t us = from_us + (int64_t)i * STEP_US;
        if (map_at(m, us, &s) && s.bpm > 0)
            points[n++] = (struct tempo_point){us, s.bpm};
    }
    return (struct beat_prior){.points = points, .n = n, .map = m};
}

/* --- onsets -------------------------------------------------------------------------------- */

/* The strength that three onsets in four beats reach, of those within eight beats: a share of all
 * onsets would sink with the number of those that noise makes. */
static double usual_strength(const struct onset *on, const double *u, size_t n, size_t i,
                             double *work)
{
    enum { BEATS = 8, USUAL = 2 * BEATS * 3 / 4 };
    size_t k = 0, lo = i, hi = i;
    while (lo > 0 && u[i] - u[lo - 1] < BEATS)
        lo--;
    while (hi + 1 < n && u[hi + 1] - u[i] < BEATS)
        hi++;
    for (size_t j = lo; j <= hi; j++)
        work[k++] = on[j].strength;
    gsl_sort(work, 1, k);
    return work[k > USUAL ? k - USUAL : 0];
}

static struct hits hits_make(struct arena *a, const struct onset *on, size_t n,
                             const struct warp *w)
{
    struct hits h = {arena_alloc(a, n * sizeof(double)), arena_alloc(a, n * sizeof(double)), n};
    double *work = xcalloc(n, sizeof *work);
    for (size_t i = 0; i < n; i++)
        h.u[i] = warp_u(w, (double)on[i].at_us);
    for (size_t i = 0; i < n; i++) {
        const double usual = usual_strength(on, h.u, n, i, work);
        h.weight[i] = usual > 0 ? fmin(fmax(on[i].strength / usual, 0.02), 1.5) : 1;
    }
    free(work);
    return h;
}

/* --- paths ----------------------------------------------------------------------------------- */

/* Without a written tempo. Measured on the scenes of tests/hear. */
static const double guess_bpm = 128, fastest_bpm = 200;

static double look_of(const struct finder *fd, double us)
{
    return (us - (double)fd->sound->from_us) / (double)fd->sound->step_us;
}

/* The tempo to expect in looks lo .. hi - 1. */
static struct path_tempo tempo_of(const struct finder *fd, const struct beat_prior *p, size_t lo,
                                  size_t hi)
{
    const double looks = 60e6 / (double)fd->sound->step_us;
    struct path_tempo t = {.usual_gap = looks / guess_bpm,
                           .least_gap = looks / fastest_bpm,
                           .most_gap = looks / BEATS_SLOWEST_BPM,
                           .width = 0.3,
                           .weight = 0.8,
                           .each = 1};
    if (p->n == 0)
        return t;
    double *gap = xcalloc(hi - lo + 1, sizeof *gap), slow = 0, fast = INFINITY;
    for (size_t i = lo; i < hi; i++) {
        gap[i - lo] = looks / beats_expected_bpm(p, beats_time(fd, (double)i));
        slow = fmax(slow, gap[i - lo]);
        fast = fmin(fast, gap[i - lo]);
    }
    return (struct path_tempo){.gap = gap,
                               .least_gap = fmax(0.85 * fast, 2),
                               .most_gap = 1.18 * slow,
                               .width = 0.06,
                               .weight = 0.15};
}

/* The strongest pulse in looks lo .. hi - 1, where no drill is followed. */
static void find_pulse(struct finder *fd, const struct beat_prior *p, double lo, double hi)
{
    const double first = fmax(ceil(lo), 0), last = fmin(floor(hi), (double)fd->sound->n_rises);
    if (last - first < LOOKS_LEAST)
        return;
    const size_t from = (size_t)first, n = (size_t)(last - first);
    const struct path_tempo tempo = tempo_of(fd, p, from, from + n);
    double *look = xcalloc(n + 1, sizeof *look);
    const size_t beats = beats_free_path((struct looks){fd->ob + from, n}, &tempo, look);
    for (size_t i = 0; i < beats; i++)
        look[i] += (double)from;
    beats_add_path(fd, look, beats);
    free(look);
    free(tempo.gap);
}

static int64_t ends_us(const struct beats *b, size_t run)
{
    const struct beat_run *r = &b->run[run];
    return b->beat[r->first + r->n - 1].at_us;
}

/* Which runs of the drill's path are still the drill: from a tie on, as far as no silence is longer
 * than a hold could be. What was played again after some talk is not where the drill went on. */
static void mark_tied(const struct beats *drill, const struct map *m, bool *tied)
{
    const struct map_anchors ties = map_ties(m);
    const struct moves sets = map_moves(m);
    double longest_s = 3;
    for (size_t i = 0; i < sets.n; i++)
        longest_s = fmax(longest_s, 3 + 1.3 * sets.at[i].hold_s);
    const int64_t most_us = (int64_t)(longest_s * 1e6);
    for (size_t k = 0; k < ties.n; k++) {
        const int64_t us = ties.at[k].us;
        int64_t at = us;
        for (size_t i = 0; i < drill->n_runs; i++) /* on from the tie */
            if (ends_us(drill, i) >= us && drill->beat[drill->run[i].first].at_us <= at + most_us) {
                tied[i] = true;
                at = ends_us(drill, i);
            }
        at = us;
        for (size_t i = drill->n_runs; i-- > 0;) /* and back */
            if (drill->beat[drill->run[i].first].at_us <= us && ends_us(drill, i) >= at - most_us) {
                tied[i] = true;
                at = drill->beat[drill->run[i].first].at_us;
            }
    }
}

static void add_found(struct finder *fd, const struct beats *from, const struct beat_run *r)
{
    struct beats *out = fd->out;
    out->run = array_grow(out->run, out->n_runs, &fd->cap_runs, sizeof *out->run);
    out->run[out->n_runs++] = (struct beat_run){out->n, r->n, r->confidence};
    for (size_t k = 0; k < r->n; k++) {
        out->beat = array_grow(out->beat, out->n, &fd->cap, sizeof *out->beat);
        out->beat[out->n++] = from->beat[r->first + k];
    }
}

/* The drill is followed, and where that gives no beats a pulse is looked for. */
static void find_all(struct finder *fd, const struct beat_prior *p)
{
    const size_t n = fd->sound->n_rises;
    double *look = xcalloc(n + 1, sizeof *look);
    const size_t followed = p->map ? beats_drill_path(fd->ob, fd->sound, p->map, look) : 0;
    struct beats drill = {0};
    struct finder of_drill = *fd;
    of_drill.out = &drill;
    of_drill.tied = true;
    if (followed)
        beats_add_path(&of_drill, look, followed);
    bool *tied = xcalloc(drill.n_runs + 1, sizeof *tied);
    if (followed)
        mark_tied(&drill, p->map, tied);
    double from = 0;
    for (size_t i = 0; i < drill.n_runs; i++) {
        const struct beat_run *r = &drill.run[i];
        const double gap_us = 0.6 * 60e6 / drill.beat[r->first].bpm;
        if (!tied[i])
            continue;
        find_pulse(fd, p, from, look_of(fd, (double)drill.beat[r->first].at_us - gap_us));
        add_found(fd, &drill, r);
        from = look_of(fd, (double)ends_us(&drill, i) + gap_us);
    }
    find_pulse(fd, p, from, (double)n);
    free(drill.beat);
    free(drill.run);
    free(tied);
    free(look);
}

static struct beats keep(struct arena *a, const struct beats *b)
{
    struct beats k = {.n = b->n, .n_runs = b->n_runs};
    k.beat = arena_alloc(a, b->n * sizeof *k.beat);
    k.run = arena_alloc(a, b->n_runs * sizeof *k.run);
    memcpy(k.beat, b->beat, b->n * sizeof *k.beat);
    memcpy(k.run, b->run, b->n_runs * sizeof *k.run);
    return k;
}

static bool prior_check(const struct beat_prior *p, struct err *e)
{
    for (size_t i = 0; i < p->n; i++) {
        if (!(p->points[i].bpm >= 20 && p->points[i].bpm <= 400))
            return err_set(e, ERR_INPUT, "an expected tempo of %g bpm; it is 20 to 400",
                           p->points[i].bpm);
        if (i > 0 && p->points[i].at_us <= p->points[i - 1].at_us)
            return err_set(e, ERR_INPUT, "the expected tempi are not in time order");
    }
    return true;
}

bool beats_find(struct arena *a, const struct beat_sound *sound, const struct beat_prior *p,
                struct beats *out, struct err *e)
{
    const struct onsets *on = &sound->onsets;
    if (on->n < ONSETS_LEAST)
        return err_set(e, ERR_INPUT,
                       "no beat to be heard: %zu sound%s begin%s here, and %d are needed; tap the "
                       "beat instead",
                       on->n, on->n == 1 ? "" : "s", on->n == 1 ? "s" : "", ONSETS_LEAST);
    if (!prior_check(p, e))
        return false;
    const struct warp w = warp_make(a, p, on->at[0].at_us, on->at[on->n - 1].at_us);
    const struct hits h = hits_make(a, on->at, on->n, &w);
    struct beats found = {0};
    struct finder fd = {.a = a, .sound = sound, .w = &w, .hits = &h, .out = &found};
    double *ob = beats_evidence(sound);
    fd.ob = ob;
    find_all(&fd, p);
    free(ob);
    const bool any = found.n > 0;
    if (any)
        *out = keep(a, &found);
    free(found.beat);
    free(found.run);
    return any || err_set(e, ERR_INPUT,
                          "no steady beat to be heard: %zu sounds begin here, as by chance; tap "
                          "the beat instead",
                          on->n);
}
