#include "count/beats.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "count/beats_inner.h"

enum { ONSETS_LEAST = 8, BEATS_LEAST = 8, LOOKS_LEAST = 400 };
/* Mean confidence of a run, with a tie and without. Chance makes up to 0.65. */
static const double accepted_tied = 0.45, accepted = 0.7;
/* So little confidence, without a tie, that the beat is lost. */
static const double doubtful = 0.35;
/* So many beats without a sound, and nobody counts on. */
static const double lost_after = 5;
/* Sure beats that a run must be worth, or it is taken for chance. */
static const double accepted_beats = 8;
/* Log odds against chance that its onsets agree by, without a tie. Chance seldom makes 3 where the rest
 * fits too. */
static const double agreed = 3;
/* A gap that differs so much from those behind it (log ratio) is none of the run. */
static const double off_tempo = 0.05;
/* Without a written tempo. Measured on the scenes of tests/hear. */
static const double guess_bpm = 128, slowest_bpm = 60, fastest_bpm = 200;
/* What is so much weaker than the usual beat of its passage (-18 dB) is not playing. */
static const double faint = 0.126;
/* Evidence that a beat is there. */
static const double says_enough = 3;

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

/* --- runs ---------------------------------------------------------------------------------- */

struct finder {
    struct arena *a;
    const struct beat_sound *sound;
    const struct warp *w;
    const struct hits *hits;
    const double *ob; /* evidence at every look */
    bool tied;        /* a tie says what is the beat */
    struct beats *out;
    size_t cap, cap_runs;
};

/* A chain of beats on its way to runs. */
struct chain {
    const double *look; /* [n] rising */
    struct fine *fine;
    bool *plays; /* loud enough */
    size_t n;
};

static double time_of(const struct finder *fd, double look)
{
    return (double)fd->sound->from_us + look * (double)fd->sound->step_us;
}

static double look_of(const struct finder *fd, double us)
{
    return (us - (double)fd->sound->from_us) / (double)fd->sound->step_us;
}

/* How many standard errors the evidence on the beats around one is above that of all looks there. */
static double stands_out(const struct finder *fd, const struct chain *c, size_t i)
{
    const size_t lo = i > 4 ? i - 4 : 0, hi = i + 4 < c->n ? i + 4 : c->n - 1;
    double on = 0, sum = 0, squares = 0, looks = 0;
    for (size_t j = lo; j <= hi; j++)
        on += fd->ob[(size_t)c->look[j]];
    for (size_t t = (size_t)c->look[lo]; t <= (size_t)c->look[hi]; t++, looks++) {
        sum += fd->ob[t];
        squares += fd->ob[t] * fd->ob[t];
    }
    const double beats = (double)(hi - lo + 1), mean = sum / looks;
    const double sd = sqrt(fmax(squares / looks - mean * mean, 1e-12));
    return (on / beats - mean) / sd * sqrt(beats);
}

/* How near to the curve the sounds on the beats around one begin, 0 .. 1, by the middle one of them:
 * sounds by chance lie anywhere within reach, half of them more than 0.05 of a beat off; strokes are
 * some 0.015 off, winds 0.03. */
static double coherent(const struct chain *c, size_t i)
{
    enum { SIDE = 4 };
    double off[2 * SIDE + 1];
    size_t n = 0;
    for (size_t j = i > SIDE ? i - SIDE : 0; j < c->n && j <= i + SIDE; j++)
        if (!isnan(c->fine[j].off))
            off[n++] = fabs(c->fine[j].off);
    return n > 0 ? 1 / (1 + exp((gsl_stats_median(off, 1, n) - 0.037) / 0.004)) : 0;
}

static double confidence(const struct finder *fd, const struct chain *c, size_t i)
{
    size_t heard = 0, all = 0;
    for (size_t j = i > 4 ? i - 4 : 0; j < c->n && j <= i + 4; j++, all++)
        heard += c->fine[j].heard;
    const double sure = 1 - exp(-fmax(0, stands_out(fd, c, i) - 2) / 1.5);
    return sure * coherent(c, i) * (double)heard / (double)all;
}

static struct beat beat_of(const struct finder *fd, const struct chain *c, size_t i)
{
    const struct fine *f = &c->fine[i];
    const double from = warp_t(fd->w, f->u - f->slope / 2), to = warp_t(fd->w, f->u + f->slope / 2);
    return (struct beat){
        .at_us = llround(warp_t(fd->w, f->u)),
        .bpm = 60e6 / (to - from),
        .confidence = confidence(fd, c, i),
        .heard = f->heard,
    };
}

static void refine(const struct finder *fd, struct chain *c)
{
    double *u = xcalloc(c->n + 1, sizeof *u);
    for (size_t i = 0; i < c->n; i++)
        u[i] = warp_u(fd->w, time_of(fd, c->look[i]));
    beats_refine(fd->hits, u, c->n, c->fine);
    free(u);
}

/* How much stronger the beats are than the halves between them, 0 .. 1. Where there is no such
 * difference, what is the beat is a guess unless a tie says so. */
static double on_the_beat(const struct finder *fd, const struct chain *c)
{
    double on = 0, between = 0;
    for (size_t i = 0; i + 1 < c->n; i++) {
        on += fd->ob[(size_t)c->look[i]];
        between += fd->ob[(size_t)((c->look[i] + c->look[i + 1]) / 2)];
    }
    return c->n > 1 ? fmin(fmax((on - between) / (double)(c->n - 1) / 1.5, 0), 1) : 0;
}

static void keep_run(struct finder *fd, const struct chain *c)
{
    const double sure = fd->tied ? 1 : 0.7 + 0.15 * on_the_beat(fd, c);
    struct beats *b = fd->out;
    double sum = 0;
    b->run = array_grow(b->run, b->n_runs, &fd->cap_runs, sizeof *b->run);
    b->run[b->n_runs] = (struct beat_run){b->n, c->n, 0};
    for (size_t i = 0; i < c->n; i++) {
        b->beat = array_grow(b->beat, b->n, &fd->cap, sizeof *b->beat);
        b->beat[b->n] = beat_of(fd, c, i);
        b->beat[b->n].confidence *= sure;
        sum += b->beat[b->n++].confidence;
    }
    b->run[b->n_runs++].confidence = sum / (double)c->n;
}

/* What a beat says for a run that has it: 1 when a sound begins on the curve, less when it does so
 * near it or not at all. Of sounds by chance three in ten lie within reach. */
static double says_run(const struct fine *f)
{
    const double near = 0.03;
    return !f->heard ? -0.7 : fabs(f->off) < near ? 1 : 0;
}

/* From *lo on: the beats *lo .. (returned) - 1 that say the most together for a run; *next is where to
 * go on. It ends where nobody could count on, through a long note they could, or where nothing
 * plays. */
static size_t run_from(const struct finder *fd, const struct chain *c, size_t *lo, size_t *next)
{
    double sum = 0, most = 0;
    size_t end = *lo;
    for (*next = *lo; *next < c->n; ++*next) {
        if (!c->plays[*next] || sum < most - lost_after ||
            (!fd->tied && confidence(fd, c, *next) < doubtful))
            break;
        sum += says_run(&c->fine[*next]);
        if (sum > most) {
            most = sum;
            end = *next + 1;
        }
        if (sum <= 0 && end <= *lo + BEATS_LEAST) { /* what is before adds nothing */
            sum = most = 0;
            *lo = end = *next + 1;
        }
    }
    return end;
}

/* Log odds, about, that so much agreement is no chance: all onsets of the run, with their phase between
 * its beats. Of n that fall anywhere, agreement over R has odds of (1 - R^2)^(n - 1); the best of beat,
 * half and quarter is taken. */
static double agreement(const struct finder *fd, const struct chain *c)
{
    const struct hits *h = fd->hits;
    double re[3] = {0}, im[3] = {0}, sum = 0, squares = 0, best = 0;
    size_t at = 0;
    for (size_t i = 0; i < h->n; i++) {
        while (at + 1 < c->n && c->fine[at + 1].u <= h->u[i])
            at++;
        if (h->u[i] < c->fine[0].u || at + 1 >= c->n)
            continue;
        const double phase = (h->u[i] - c->fine[at].u) / (c->fine[at + 1].u - c->fine[at].u);
        for (int k = 0; k < 3; k++) {
            re[k] += h->weight[i] * cos(2 * M_PI * (1 << k) * phase);
            im[k] += h->weight[i] * sin(2 * M_PI * (1 << k) * phase);
        }
        sum += h->weight[i];
        squares += h->weight[i] * h->weight[i];
    }
    for (int k = 0; k < 3 && sum > 0; k++)
        best = fmax(best, (re[k] * re[k] + im[k] * im[k]) / (sum * sum));
    const double n = squares > 0 ? sum * sum / squares : 1;
    return (n - 1) * -log1p(-fmin(best, 0.99)) - log(3);
}

static struct chain part_of(const struct chain *c, size_t from, size_t to)
{
    return (struct chain){c->look + from, c->fine + from, c->plays + from, to - from};
}

/* From which beat of an end on, counted from there (step 1 or -1), the run keeps its tempo: a path
 * bends to reach what sounds before and behind the music. */
static size_t keeps_tempo(const struct chain *c, long step)
{
    enum { DEEP = 12, INSIDE = 6 };
    const long first = step > 0 ? 0 : (long)c->n - 1;
    size_t from = 0;
    for (long k = 0; k < DEEP && 4 * k < (long)c->n && k + INSIDE + 1 < (long)c->n; k++) {
        double inside[INSIDE], gap = 0;
        for (long j = 0; j <= INSIDE; j++) {
            const long at = first + step * (k + j);
            const double g = fabs(c->fine[at + step].u - c->fine[at].u);
            gap = j == 0 ? g : gap;
            if (j > 0)
                inside[j - 1] = g;
        }
        if (fabs(log(gap / gsl_stats_median(inside, 1, INSIDE))) > off_tempo)
            from = (size_t)k + 1;
    }
    return from;
}

static struct chain trimmed(const struct chain *c)
{
    const size_t lo = keeps_tempo(c, 1), hi = c->n - keeps_tempo(c, -1);
    return part_of(c, lo, hi > lo ? hi : lo);
}

static bool worth(const struct finder *fd, const struct chain *c)
{
    double sum = 0;
    for (size_t i = 0; i < c->n; i++)
        sum += confidence(fd, c, i);
    return c->n >= BEATS_LEAST && sum >= accepted_beats &&
           sum >= (fd->tied ? accepted_tied : accepted) * (double)c->n &&
           (fd->tied || agreement(fd, c) >= agreed);
}

/* Makes a run of beats lo..hi, if they are worth it. The curve is laid again through what stays: beats
 * that were none bend it at its ends. */
static void add_run(struct finder *fd, const struct chain *c, size_t lo, size_t hi)
{
    if (hi < lo + BEATS_LEAST)
        return;
    struct chain run = {.look = c->look + lo,
                        .fine = xcalloc(hi - lo, sizeof *run.fine),
                        .plays = c->plays + lo,
                        .n = hi - lo};
    struct fine *fine = run.fine;
    refine(fd, &run);
    if (!fd->tied) {
        run = trimmed(&run);
        refine(fd, &run);
    }
    if (worth(fd, &run))
        keep_run(fd, &run);
    free(fine);
}

static void add_runs(struct finder *fd, const struct chain *c)
{
    for (size_t at = 0; at < c->n;) {
        size_t lo = at, next;
        const size_t end = run_from(fd, c, &lo, &next);
        add_run(fd, c, lo, end);
        at = end > lo ? end : next + 1;
    }
}

static double loudest(const struct finder *fd, double look)
{
    const size_t at = (size_t)look, n = fd->sound->n_rises;
    double most = fd->sound->loud[at];
    most = at > 0 ? fmax(most, (double)fd->sound->loud[at - 1]) : most;
    return at + 1 < n ? fmax(most, (double)fd->sound->loud[at + 1]) : most;
}

/* How loud the usual beat of a path is. */
static double usual_loudness(const struct finder *fd, const double *look, size_t n)
{
    double *loud = xcalloc(n + 1, sizeof *loud);
    for (size_t i = 0; i < n; i++)
        loud[i] = loudest(fd, look[i]);
    const double usual = n ? gsl_stats_median(loud, 1, n) : 0;
    free(loud);
    return usual;
}

/* Which beats belong to a passage that plays: the middle one of seven around them is not far below the
 * usual one. */
static void find_playing(const struct finder *fd, struct chain *c, double usual)
{
    double near[7];
    for (size_t i = 0; i < c->n; i++) {
        size_t k = 0;
        for (size_t j = i > 3 ? i - 3 : 0; j < c->n && j <= i + 3; j++)
            near[k++] = loudest(fd, c->look[j]);
        c->plays[i] = gsl_stats_median(near, 1, k) >= faint * usual;
    }
}

/* look may become shorter. */
static void add_stretch(struct finder *fd, double *look, size_t n, double usual)
{
    struct chain c = {.look = look,
                      .n = n,
                      .fine = xcalloc(n + 1, sizeof *c.fine),
                      .plays = xcalloc(n + 1, sizeof *c.plays)};
    refine(fd, &c);
    const double bpm =
        n > 1 ? 60e6 * (double)(n - 1) / (time_of(fd, look[n - 1]) - time_of(fd, look[0])) : 0;
    if (fd->w->guessed && bpm / 2 >= slowest_bpm) {
        c.n = beats_thin_out(c.fine, look, n);
        refine(fd, &c);
    }
    find_playing(fd, &c, usual);
    add_runs(fd, &c);
    free(c.fine);
    free(c.plays);
}

/* What a hold begins with, when that can be heard: a stroke or a chord on the count after the last.
 * Returns 1 with its look, or 0. */
static size_t hold_begins(const struct finder *fd, double last, double gap, double *out)
{
    enum { NEAR = 3 };
    double best = 0.5 * says_enough;
    size_t found = 0;
    for (double look = last + gap - NEAR; look <= last + gap + NEAR; look++) {
        if (look >= (double)fd->sound->n_rises || fd->ob[(size_t)look] <= best)
            continue;
        best = fd->ob[(size_t)look];
        *out = floor(look);
        found = 1;
    }
    return found;
}

/* A hold parts a path: the curve through the beats around one must not reach across. */
static void add_chain(struct finder *fd, const double *look, size_t n)
{
    const double usual = usual_loudness(fd, look, n);
    double *part = xcalloc(n + 2, sizeof *part);
    for (size_t lo = 0, hi; lo < n; lo = hi) {
        double gap = 0;
        for (hi = lo + 1; hi < n; hi++) {
            gap = hi > lo + 1  ? look[hi - 1] - look[hi - 2]
                  : hi + 1 < n ? look[hi + 1] - look[hi]
                               : look[hi] - look[hi - 1];
            if (look[hi] - look[hi - 1] > 1.6 * gap)
                break;
        }
        memcpy(part, look + lo, (hi - lo) * sizeof *part);
        const size_t more = hi < n ? hold_begins(fd, look[hi - 1], gap, &part[hi - lo]) : 0;
        add_stretch(fd, part, hi - lo + more, usual);
    }
    free(part);
}

/* --- paths ----------------------------------------------------------------------------------- */

/* The tempo to expect in looks lo .. hi - 1. */
static struct path_tempo tempo_of(const struct finder *fd, const struct beat_prior *p, size_t lo,
                                  size_t hi)
{
    const double looks = 60e6 / (double)fd->sound->step_us;
    struct path_tempo t = {.usual_gap = looks / guess_bpm,
                           .least_gap = looks / fastest_bpm,
                           .most_gap = looks / slowest_bpm,
                           .width = 0.3,
                           .weight = 0.8,
                           .each = 1};
    if (p->n == 0)
        return t;
    double *gap = xcalloc(hi - lo + 1, sizeof *gap), slow = 0, fast = INFINITY;
    for (size_t i = lo; i < hi; i++) {
        gap[i - lo] = looks / beats_expected_bpm(p, time_of(fd, (double)i));
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
    add_chain(fd, look, beats);
    free(look);
    free((void *)(uintptr_t)tempo.gap);
}

/* The drill is followed, and where that gives no beats for a while a pulse is looked for: what was
 * played again after some talk is not where the drill goes on. */
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
        add_chain(&of_drill, look, followed);
    double from = 0;
    for (size_t i = 0; i < drill.n_runs; i++) {
        const struct beat_run *r = &drill.run[i];
        const struct beat *b = &drill.beat[r->first];
        const double gap = 0.6 * 60e6 / b[0].bpm;
        find_pulse(fd, p, from, look_of(fd, (double)b[0].at_us - gap));
        fd->out->run = array_grow(fd->out->run, fd->out->n_runs, &fd->cap_runs, sizeof *r);
        fd->out->run[fd->out->n_runs++] = (struct beat_run){fd->out->n, r->n, r->confidence};
        for (size_t k = 0; k < r->n; k++) {
            fd->out->beat = array_grow(fd->out->beat, fd->out->n, &fd->cap, sizeof *b);
            fd->out->beat[fd->out->n++] = b[k];
        }
        from = look_of(fd, (double)b[r->n - 1].at_us + gap);
    }
    find_pulse(fd, p, from, (double)n);
    free(drill.beat);
    free(drill.run);
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
