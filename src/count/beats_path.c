/* The path of beats through the rises: the best chain of moments, by dynamic programming over moment
 * and gap (after Ellis 2007, with the gap as part of the state, so that a tempo is kept and not only
 * a mean). */
#include "count/beats_inner.h"

#include <math.h>
#include <stdlib.h>

/* What a rise says, in units of the mean rise around it: how much likelier it is on a beat (mean 5)
 * than between beats (mean 0.8), both exponential; measured on the scenes of tests/hear. What is more
 * than enough adds little, or the loudest strokes would draw the path to them. */
static const double says = 1.05, says_nothing = 1.8, says_enough = 3.5;
static const double around_s = 3; /* either side, for the mean */
static const double least_part = 0.25;
/* Changes of tempo from beat to beat: cost of a squared log ratio, and most that a leap costs. */
static const double change = 800, leap = 20;

/* Mean rise within around_s, at least a part of that of the whole. */
static void local_mean(const struct beat_sound *s, double *out)
{
    const size_t reach = (size_t)(around_s * 1e6 / (double)s->step_us);
    double *sum = xcalloc(s->n_rises + 1, sizeof *sum);
    for (size_t i = 0; i < s->n_rises; i++)
        sum[i + 1] = sum[i] + (double)s->rise[i];
    const double least = least_part * sum[s->n_rises] / (double)s->n_rises;
    for (size_t i = 0; i < s->n_rises; i++) {
        const size_t lo = i > reach ? i - reach : 0;
        const size_t hi = i + reach < s->n_rises ? i + reach + 1 : s->n_rises;
        out[i] = fmax((sum[hi] - sum[lo]) / (double)(hi - lo), least) + 1e-12;
    }
    free(sum);
}

double *beats_evidence(const struct beat_sound *s)
{
    double *out = xcalloc(s->n_rises + 1, sizeof *out),
           *mean = xcalloc(s->n_rises + 1, sizeof *mean);
    local_mean(s, mean);
    for (size_t i = 0; i < s->n_rises; i++) {
        const double before = i > 0 ? (double)s->rise[i - 1] / mean[i - 1] : 0;
        const double after = i + 1 < s->n_rises ? (double)s->rise[i + 1] / mean[i + 1] : 0;
        const double most = fmax((double)s->rise[i] / mean[i], 0.8 * fmax(before, after));
        const double x = says * most - says_nothing;
        out[i] = x < says_enough ? x : says_enough + log1p(x - says_enough);
    }
    free(mean);
    return out;
}

/* --- without a drill to follow --------------------------------------------------------------- */

struct free_path {
    const struct path_tempo *tempo;
    const double *ob;
    int least, gaps; /* shortest gap, how many gaps */
    size_t kept;     /* looks whose scores are kept: none reaches further back */
    double *score;   /* [look % kept * gaps + gap]: the best chain that ends here with this gap */
    int *top;        /* [look % kept]: the gap of the best of them */
    int16_t *from;   /* [look * gaps + gap]: the gap before; BEGINS: none is */
    double *cost;    /* of a change of gap: [gap * gaps + gap before] */
};

enum { REACH = 6, BEGINS = -1 };

static double *score_of(const struct free_path *f, size_t look, int gap)
{
    return &f->score[look % f->kept * (size_t)f->gaps + (size_t)gap];
}

static double gap_cost(const struct free_path *f, size_t look, int gap)
{
    const struct path_tempo *t = f->tempo;
    const double expected = t->gap ? t->gap[look] : t->usual_gap;
    const double x = log((double)(f->least + gap) / expected) / t->width;
    return t->weight * x * x / 2;
}

static void step_free(struct free_path *f, size_t look)
{
    for (int g = 0; g < f->gaps; g++) {
        const size_t gap = (size_t)(f->least + g);
        double best = 0;
        int16_t from = BEGINS;
        for (int k = g - REACH; look >= gap && k <= g + REACH; k++) {
            if (k < 0 || k >= f->gaps)
                continue;
            const double s =
                *score_of(f, look - gap, k) - f->cost[(size_t)g * (size_t)f->gaps + (size_t)k];
            if (s > best) {
                best = s;
                from = (int16_t)k;
            }
        }
        const int top = look >= gap ? f->top[(look - gap) % f->kept] : 0;
        if (look >= gap && *score_of(f, look - gap, top) - leap > best) {
            best = *score_of(f, look - gap, top) - leap;
            from = (int16_t)top;
        }
        f->from[look * (size_t)f->gaps + (size_t)g] = from;
        *score_of(f, look, g) = best + f->ob[look] - f->tempo->each - gap_cost(f, look, g);
    }
    int *top = &f->top[look % f->kept];
    *top = 0;
    for (int g = 1; g < f->gaps; g++)
        *top = *score_of(f, look, g) > *score_of(f, look, *top) ? g : *top;
}

/* The chain's beats, from its last back; returns how many. */
static size_t walk_free(const struct free_path *f, size_t look, int gap, double *out)
{
    size_t n = 0;
    while (true) {
        const int before = f->from[look * (size_t)f->gaps + (size_t)gap];
        out[n++] = (double)look;
        if (before == BEGINS)
            break;
        look -= (size_t)(f->least + gap);
        gap = before;
    }
    beats_reverse(out, n);
    return n;
}

/* The best of all chains that end within the longest gap of the end. */
static void best_end(const struct free_path *f, size_t n, size_t *look, int *gap)
{
    double most = -INFINITY;
    for (size_t t = n > f->kept ? n - f->kept : 0; t < n; t++)
        for (int g = 0; g < f->gaps; g++)
            if (*score_of(f, t, g) > most) {
                most = *score_of(f, t, g);
                *look = t;
                *gap = g;
            }
}

void beats_reverse(double *look, size_t n)
{
    for (size_t i = 0; i < n / 2; i++) {
        const double swap = look[i];
        look[i] = look[n - 1 - i];
        look[n - 1 - i] = swap;
    }
}

size_t beats_free_path(struct looks looks, const struct path_tempo *tempo, double *out)
{
    const size_t n = looks.n;
    struct free_path f = {.tempo = tempo, .ob = looks.ob, .least = (int)tempo->least_gap};
    f.gaps = (int)ceil(tempo->most_gap) - f.least + 1;
    f.kept = (size_t)(f.least + f.gaps);
    const size_t gaps = (size_t)f.gaps;
    f.score = xcalloc(f.kept * gaps, sizeof *f.score);
    f.top = xcalloc(f.kept, sizeof *f.top);
    f.from = xcalloc((n + 1) * gaps, sizeof *f.from);
    f.cost = xcalloc(gaps * gaps, sizeof *f.cost);
    for (int i = 0; i < f.gaps; i++)
        for (int k = 0; k < f.gaps; k++) {
            const double x = log((double)(f.least + i) / (f.least + k));
            f.cost[(size_t)i * gaps + (size_t)k] = change * x * x;
        }
    size_t look = 0;
    int gap = 0;
    for (size_t t = 0; t < n; t++)
        step_free(&f, t);
    best_end(&f, n, &look, &gap);
    const size_t found = n > 0 ? walk_free(&f, look, gap, out) : 0;
    free(f.score);
    free(f.top);
    free(f.from);
    free(f.cost);
    return found;
}
