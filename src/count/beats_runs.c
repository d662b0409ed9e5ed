/* From a path to runs of beats: what of it plays, what can be believed, where it begins and ends. */
#include "count/beats_inner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_fit.h>
#include <gsl/gsl_statistics_double.h>

enum { BEATS_LEAST = 8 };
/* Mean confidence of a run, with a tie and without. Chance makes up to 0.65. */
static const double accepted_tied = 0.45, accepted = 0.7;
/* So little confidence, without a tie, that the beat is lost. */
static const double doubtful = 0.35;
/* What beats without a sound take away before nobody counts on: seven of them. */
static const double lost_after = 5;
/* Sure beats that a run must be worth, or it is taken for chance. */
static const double accepted_beats = 8;
/* Log odds against chance that its onsets agree by, without a tie. Chance seldom makes 3 where the
 * rest fits too. */
static const double agreed = 3;
/* A gap that differs so much from those behind it (log ratio) is none of the run. */
static const double off_tempo = 0.05;
/* What is so much weaker than the usual beat of its path (-18 dB) is not playing. */
static const double faint = 0.126;
/* Evidence that a hold begins with a stroke. */
static const double says_begins = 1.5;

/* A chain of beats on its way to runs. */
struct chain {
    const double *look; /* [n] rising */
    struct fine *fine;
    bool *plays; /* loud enough */
    size_t n;
};

double beats_time(const struct finder *fd, double look)
{
    return (double)fd->sound->from_us + look * (double)fd->sound->step_us;
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
        u[i] = warp_u(fd->w, beats_time(fd, c->look[i]));
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

/* Log of the k-th gap from an end (step 1 or -1). */
static double gap_at(const struct chain *c, long step, long k)
{
    const long at = (step > 0 ? 0 : (long)c->n - 1) + step * k;
    return log(fabs(c->fine[at + step].u - c->fine[at].u));
}

/* From which beat of an end on, counted from there, the run goes as the six gaps further in do, which
 * may be a ramp: a path bends to reach what sounds before and behind the music. */
static size_t keeps_tempo(const struct chain *c, long step)
{
    enum { DEEP = 12, INSIDE = 6 };
    size_t from = 0;
    for (long k = 0; k < DEEP && 4 * k < (long)c->n && k + INSIDE + 1 < (long)c->n; k++) {
        double x[INSIDE], y[INSIDE], at, slope, cov[3], sumsq;
        for (long j = 0; j < INSIDE; j++) {
            x[j] = (double)(j + 1);
            y[j] = gap_at(c, step, k + j + 1);
        }
        gsl_fit_linear(x, 1, y, 1, INSIDE, &at, &slope, &cov[0], &cov[1], &cov[2], &sumsq);
        if (fabs(gap_at(c, step, k) - at) > off_tempo)
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
        n > 1 ? 60e6 * (double)(n - 1) / (beats_time(fd, look[n - 1]) - beats_time(fd, look[0]))
              : 0;
    if (fd->w->guessed && bpm / 2 >= BEATS_SLOWEST_BPM) {
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
    double best = says_begins;
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
void beats_add_path(struct finder *fd, const double *look, size_t n)
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
