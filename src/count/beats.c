#include "count/beats.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "count/beats_inner.h"

enum { ONSETS_LEAST = 8, BEATS_LEAST = 8 };
/* A silence of this many expected beats ends a passage. */
static const double silence = 5;
/* Log odds against chance above which a window counts as played. */
static const double played = 4;
static const double accepted = 0.4,
                    doubtful = 0.25; /* mean confidence of a run, least at its ends */

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
    return (struct beat_prior){.points = points, .n = n};
}

/* --- onsets -------------------------------------------------------------------------------- */

/* The strength that a fifth of the onsets within eight beats exceeds. */
static double usual_strength(const struct onset *on, const double *u, size_t n, size_t i,
                             double *work)
{
    size_t k = 0, lo = i, hi = i;
    while (lo > 0 && u[i] - u[lo - 1] < 8)
        lo--;
    while (hi + 1 < n && u[hi + 1] - u[i] < 8)
        hi++;
    for (size_t j = lo; j <= hi; j++)
        work[k++] = on[j].strength;
    gsl_sort(work, 1, k);
    return gsl_stats_quantile_from_sorted_data(work, 1, k, 0.8);
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

/* --- runs ---------------------------------------------------------------------------------- */

struct finder {
    struct arena *a;
    const struct warp *w;
    struct beats *out;
    size_t cap, cap_runs;
    double until; /* no beat before this u: the run before reaches there */
};

static double confidence(const struct pulse *p, const struct fine *f, size_t n, size_t i)
{
    size_t heard = 0, all = 0;
    for (size_t j = i > 4 ? i - 4 : 0; j < n && j <= i + 4; j++, all++)
        heard += f[j].heard;
    const double sure = 1 - exp(-fmax(0, pulse_sure(p, f[i].u) - 2) / 4);
    return sure * (double)heard / (double)all;
}

/* May a run begin (step 1) or end (step -1) with this beat? It is heard, so are most of the four
 * from there on, and it is not a mere guess. */
static bool holds(const struct pulse *p, const struct fine *f, size_t n, size_t at, long step)
{
    int heard = 0;
    for (long k = 0; k < 4; k++)
        heard += f[(long)at + k * step].heard;
    return f[at].heard && heard >= 3 && confidence(p, f, n, at) >= doubtful;
}

static struct beat beat_of(const struct finder *fd, const struct pulse *p, const struct fine *f,
                           size_t n, size_t i)
{
    const double from = warp_t(fd->w, f[i].u - f[i].slope / 2),
                 to = warp_t(fd->w, f[i].u + f[i].slope / 2);
    return (struct beat){
        .at_us = llround(warp_t(fd->w, f[i].u)),
        .bpm = 60e6 / (to - from),
        .confidence = confidence(p, f, n, i),
        .heard = f[i].heard,
    };
}

/* Makes a run of beats lo..hi, trimmed, if they are worth it. */
static void add_run(struct finder *fd, const struct pulse *p, const struct fine *f, size_t n,
                    size_t lo, size_t hi)
{
    while (hi > lo + 4 && !holds(p, f, n, lo, 1))
        lo++;
    while (hi > lo + 4 && !holds(p, f, n, hi - 1, -1))
        hi--;
    double sum = 0;
    for (size_t i = lo; i < hi; i++)
        sum += confidence(p, f, n, i);
    const double mean = hi > lo ? sum / (double)(hi - lo) : 0;
    if (hi < lo + BEATS_LEAST || mean < accepted)
        return;
    struct beats *b = fd->out;
    b->run = array_grow(b->run, b->n_runs, &fd->cap_runs, sizeof *b->run);
    b->run[b->n_runs++] = (struct beat_run){b->n, hi - lo, mean};
    for (size_t i = lo; i < hi; i++) {
        b->beat = array_grow(b->beat, b->n, &fd->cap, sizeof *b->beat);
        b->beat[b->n++] = beat_of(fd, p, f, n, i);
    }
    fd->until = f[hi - 1].u + f[hi - 1].slope / 2;
}

/* Is there nearly nothing on the eight beats around this one? Nobody could count on through that,
 * but through a long note they could. */
static bool lost(const struct fine *f, size_t n, size_t at)
{
    int heard = 0;
    for (long k = (long)at - 4; k < (long)at + 4; k++)
        heard += k < 0 || k >= (long)n || f[k].heard;
    return heard <= 2;
}

/* A chain bridges what it must: it is parted where the beat is lost. */
static void add_runs(struct finder *fd, const struct pulse *p, const struct fine *f, size_t n)
{
    for (size_t lo = 0, hi; lo < n; lo = hi + 1) {
        for (hi = lo; hi < n && !lost(f, n, hi); hi++)
            ;
        add_run(fd, p, f, n, lo, hi);
    }
}

/* Would half of this tempo be in reach as well? */
static bool half_in_reach(const struct warp *w, const struct pulse *p, const double *u, size_t n)
{
    double slowest = w->highest;
    for (size_t i = 0; i < n; i++)
        slowest = fmin(slowest, pulse_ratio(p, u[i]));
    return slowest / 2 >= w->lowest;
}

static void find_run(struct finder *fd, const struct hits *h, const struct pulse *p, double from,
                     double to)
{
    size_t n;
    double *u = beats_chain(h, p, from, to, &n);
    struct fine *f = xcalloc(n, sizeof *f);
    beats_refine(h, u, n, f);
    if (half_in_reach(fd->w, p, u, n)) {
        n = beats_thin_out(f, u, n);
        beats_refine(h, u, n, f);
    }
    add_runs(fd, p, f, n);
    free(u);
    free(f);
}

/* A passage without silence: the windows that are played, gaps of two bridged, become runs. */
static void find_in(struct finder *fd, const struct hits *h)
{
    if (h->n < ONSETS_LEAST || h->u[h->n - 1] - h->u[0] < BEATS_LEAST - 1)
        return;
    const struct pulse p = pulse_find(fd->a, h, fd->w);
    for (size_t i = 0, j; i < p.n; i = j + 1) {
        j = i;
        if (p.sure[i] < played)
            continue;
        for (size_t k = i; k < p.n && k <= j + 3; k++)
            j = p.sure[k] >= played ? k : j;
        /* A window reaches eight beats to both sides; what of that was not played is trimmed. */
        const double first = fmax(h->u[0] - 0.5, fd->until);
        const double from = fmax(first, p.from + (double)i * p.step - 8);
        const double to = fmin(h->u[h->n - 1] + 0.5, p.from + (double)j * p.step + 8);
        if (to > from)
            find_run(fd, h, &p, from, to);
    }
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

bool beats_find(struct arena *a, struct onsets onsets, const struct beat_prior *p,
                struct beats *out, struct err *e)
{
    const size_t n = onsets.n;
    if (n < ONSETS_LEAST)
        return err_set(e, ERR_INPUT,
                       "no beat to be heard: %zu sound%s begin%s here, and %d are needed; tap the "
                       "beat instead",
                       n, n == 1 ? "" : "s", n == 1 ? "s" : "", ONSETS_LEAST);
    if (!prior_check(p, e))
        return false;
    const struct warp w = warp_make(a, p, onsets.at[0].at_us, onsets.at[n - 1].at_us);
    const struct hits h = hits_make(a, onsets.at, n, &w);
    struct beats found = {0};
    struct finder fd = {.a = a, .w = &w, .out = &found, .until = -HUGE_VAL};
    for (size_t i = 0, j; i < n; i = j) {
        for (j = i + 1; j < n && h.u[j] - h.u[j - 1] < silence; j++)
            ;
        const struct hits part = {h.u + i, h.weight + i, j - i};
        find_in(&fd, &part);
    }
    const bool any = found.n > 0;
    if (any)
        *out = keep(a, &found);
    free(found.beat);
    free(found.run);
    return any || err_set(e, ERR_INPUT,
                          "no steady beat to be heard: %zu sounds begin here, as by chance; tap "
                          "the beat instead",
                          n);
}

void beats_put_back(struct beats *b, int64_t delay_us)
{
    for (size_t i = 0; i < b->n; i++)
        b->beat[i].at_us -= delay_us;
}

/* --- ties ---------------------------------------------------------------------------------- */

static size_t nearest_beat(const struct beats *b, int64_t us)
{
    size_t best = 0;
    for (size_t i = 1; i < b->n; i++)
        if (llabs(b->beat[i].at_us - us) < llabs(b->beat[best].at_us - us))
            best = i;
    return best;
}

static const struct beat_run *run_of(const struct beats *b, size_t beat)
{
    for (size_t i = 0; i < b->n_runs; i++)
        if (beat >= b->run[i].first && beat < b->run[i].first + b->run[i].n)
            return &b->run[i];
    return NULL;
}

/* The beats, counted from `from` (exclusive or not) to `to`, with the least confidence. */
static double least_confidence(const struct beats *b, size_t from, size_t to)
{
    double least = 1;
    for (size_t i = from < to ? from : to; i <= (from < to ? to : from); i++)
        least = fmin(least, b->beat[i].confidence);
    return least;
}

static void add_tie(struct beat_ties *ties, const struct beats *b, size_t at, size_t from, int set)
{
    ties->at[ties->n++] = (struct beat_tie){
        .tie = {.us = b->beat[at].at_us, .set = set, .count = 1},
        .confidence = least_confidence(b, from, at),
    };
}

/* The known count, as the beats have it. */
struct counted {
    const struct beat_run *run;
    size_t from; /* its beat */
    long passed; /* counts of its set before it */
    int set;
};

/* Sets that begin at or before the known count, as far as the run and no hold allow. */
static void ties_back(struct beat_ties *ties, const struct beats *b, const struct move *sets,
                      const struct counted *k)
{
    long at = (long)k->from - k->passed;
    for (int set = k->set; at >= (long)k->run->first && set >= 0; set--) {
        if (sets[set].counts > 0)
            add_tie(ties, b, (size_t)at, k->from, set);
        if (set == 0 || sets[set - 1].hold_s > 0)
            break;
        at -= sets[set - 1].counts;
    }
    for (size_t i = 0; i < ties->n / 2; i++) {
        const struct beat_tie swap = ties->at[i];
        ties->at[i] = ties->at[ties->n - 1 - i];
        ties->at[ties->n - 1 - i] = swap;
    }
}

/* Sets that begin after it. */
static void ties_on(struct beat_ties *ties, const struct beats *b, struct moves sets,
                    const struct counted *k)
{
    long at = (long)k->from - k->passed;
    for (int set = k->set; (size_t)set + 1 < sets.n && sets.at[set].hold_s == 0; set++) {
        at += sets.at[set].counts;
        if (at >= (long)(k->run->first + k->run->n))
            break;
        if (sets.at[set + 1].counts > 0 && at >= (long)k->run->first)
            add_tie(ties, b, (size_t)at, k->from, set + 1);
    }
}

const struct beat_ties *beats_ties(struct arena *a, const struct beats *b, struct moves sets,
                                   const struct map_anchor *known, struct err *e)
{
    struct counted k = {.passed = lround(known->count - 1), .set = known->set};
    if (fabs(known->count - 1 - (double)k.passed) > 1e-6) {
        err_set(e, ERR_INPUT,
                "counting beats off begins at a whole count, and this tie is at count %g",
                known->count);
        return NULL;
    }
    k.from = b->n ? nearest_beat(b, known->us) : 0;
    k.run = run_of(b, k.from);
    const double away = k.run ? fabs((double)(b->beat[k.from].at_us - known->us)) : 0;
    if (!k.run || away > 20e6 / b->beat[k.from].bpm) {
        err_set(e, ERR_INPUT,
                "no beat is heard where set %s is tied; tie a count that can be heard",
                sets.at[known->set].label);
        return NULL;
    }
    struct beat_ties *ties = arena_alloc(a, sizeof *ties);
    *ties = (struct beat_ties){.at = arena_alloc(a, sets.n * sizeof *ties->at)};
    ties_back(ties, b, sets.at, &k);
    ties_on(ties, b, sets, &k);
    return ties;
}
