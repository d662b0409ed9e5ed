/* The path of beats that follows the drill from a tie: count by count at the written tempo times a
 * ratio that changes little, through ramps and over holds, on to both ends of the sound. */
#include "count/beats_inner.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"

enum { RATIOS = 29, REACH = 3 };
static const double ratio_step = 0.01;
static const double near_look = 3;      /* looks that a tie may be off (standard deviation) */
static const double tempo_width = 0.04; /* how far the band is off the written tempo */
static const double tempo_weight = 0.15, change = 0.1, halves = 0.85;
static const double hold_width = 0.15; /* how far a hold is off the written one */

struct follower {
    const double *ob;
    size_t n; /* looks */
    const struct count_line *line;
    float *score;          /* [look * RATIOS + ratio] */
    int32_t *count, *from; /* which count that is; the cell before, -1 */
};

static double ratio_of(int r)
{
    return exp((r - RATIOS / 2) * ratio_step);
}

static double said(const struct follower *f, double look)
{
    return look >= 0 && look < (double)f->n ? f->ob[(size_t)look] : 0;
}

/* Goes on from a cell to the count after it, `gap` looks on. */
static void push(struct follower *f, size_t cell, int ratio, double gap, double cost)
{
    const size_t look = cell / RATIOS, to = look + (size_t)lround(gap);
    if (to >= f->n || lround(gap) < 1)
        return;
    const size_t target = to * RATIOS + (size_t)ratio;
    const double s =
        f->score[cell] + f->ob[to] + halves * said(f, round((double)look + gap / 2)) - cost;
    if (s <= f->score[target])
        return;
    f->score[target] = s;
    f->count[target] = f->count[cell] + 1;
    f->from[target] = (int32_t)cell;
}

static void push_hold(struct follower *f, size_t cell, int ratio, double gap, double hold)
{
    const double least = fmax(0.5 * hold, 1), most = 1.6 * hold;
    const double stride = fmax(floor(hold / 200), 1); /* a hold of minutes is not tried by looks */
    for (double h = least; h <= most; h += stride) {
        const double x = log(h / hold) / hold_width;
        push(f, cell, ratio, gap + h, x * x / 2 * 0.5);
    }
}

static void step(struct follower *f, size_t cell)
{
    const int r = (int)(cell % RATIOS), count = f->count[cell];
    const size_t k = (size_t)count < f->line->n ? (size_t)count : f->line->n - 1;
    for (int to = r - REACH; to <= r + REACH; to++) {
        if (to < 0 || to >= RATIOS)
            continue;
        const double off = (to - RATIOS / 2) * ratio_step / tempo_width;
        const double cost = change * (to - r) * (to - r) + tempo_weight * off * off / 2;
        const double gap = f->line->gap[k] / ratio_of(to);
        if (f->line->hold[k] > 0)
            push_hold(f, cell, to, gap, f->line->hold[k]);
        else
            push(f, cell, to, gap, cost);
    }
}

static size_t walk(const struct follower *f, size_t cell, double *out)
{
    size_t n = 0;
    for (int32_t at = (int32_t)cell; at >= 0; at = f->from[at])
        out[n++] = (double)(at / RATIOS);
    beats_reverse(out, n);
    return n;
}

size_t beats_follow(struct looks looks, double from, bool exactly, const struct count_line *line,
                    double *out)
{
    const size_t n = looks.n;
    struct follower f = {.ob = looks.ob, .n = n, .line = line};
    f.score = xcalloc((n + 1) * RATIOS, sizeof *f.score);
    f.count = xcalloc((n + 1) * RATIOS, sizeof *f.count);
    f.from = xcalloc((n + 1) * RATIOS, sizeof *f.from);
    double slowest = 0;
    for (size_t i = 0; i < line->n; i++)
        slowest = fmax(slowest, line->gap[i]);
    for (size_t i = 0; i < n * RATIOS; i++) {
        const double off = ((double)(i / RATIOS) - from) / near_look;
        const bool begins = exactly ? i / RATIOS == (size_t)from : fabs(off) <= 3;
        f.score[i] = begins ? f.ob[i / RATIOS] - off * off / 2 : -INFINITY;
        f.from[i] = -1;
    }
    for (size_t i = 0; i < n * RATIOS; i++)
        if (f.score[i] > -INFINITY)
            step(&f, i);
    const size_t tail = (double)n > 1.2 * slowest ? (n - (size_t)(1.2 * slowest)) * RATIOS : 0;
    size_t best = n * RATIOS;
    for (size_t i = n * RATIOS; i-- > 0;) {
        const bool better = best == n * RATIOS || f.score[i] > f.score[best];
        if (f.score[i] > -INFINITY && better && (i >= tail || best == n * RATIOS))
            best = i;
        if (i < tail && best < n * RATIOS)
            break;
    }
    const size_t found = best < n * RATIOS ? walk(&f, best, out) : 0;
    free(f.score);
    free(f.count);
    free(f.from);
    return found;
}

/* --- the drill's counts ------------------------------------------------------------------------- */

/* All counts of the drill, in looks. */
static struct count_line whole_drill(struct arena *a, struct moves sets, double step_s)
{
    size_t most = 1;
    for (size_t i = 0; i < sets.n; i++)
        most += (size_t)sets.at[i].counts;
    struct count_line l = {arena_alloc(a, most * sizeof(double)),
                           arena_alloc(a, most * sizeof(double)), 0};
    double known = 0;
    for (size_t i = 0; i < sets.n; i++) {
        const struct move *m = &sets.at[i];
        for (int c = 1; c <= m->counts; c++) {
            if (m->bpm0 > 0)
                known = (tempo_seconds(m, c + 1) - tempo_seconds(m, c)) / step_s;
            l.gap[l.n++] = known;
        }
        if (l.n > 0)
            l.hold[l.n - 1] += m->hold_s / step_s;
    }
    for (size_t i = l.n; i-- > 1;) /* sets without a tempo before the first with one */
        l.gap[i - 1] = l.gap[i - 1] > 0 ? l.gap[i - 1] : l.gap[i];
    return l;
}

/* From count `at` of the drill on, forward or back. */
static struct count_line from_count(struct arena *a, const struct count_line *all, size_t at,
                                    bool back)
{
    const size_t n = back ? at : all->n - at;
    struct count_line l = {arena_alloc(a, (n + 1) * sizeof(double)),
                           arena_alloc(a, (n + 1) * sizeof(double)), n ? n : 1};
    l.gap[0] = all->gap[at < all->n ? at : all->n - 1];
    for (size_t i = 0; i < n; i++) {
        l.gap[i] = all->gap[back ? at - 1 - i : at + i];
        l.hold[i] = all->hold[back ? at - 1 - i : at + i];
    }
    if (n) /* what comes behind the end of the drill is not known to be held */
        l.hold[n - 1] = 0;
    return l;
}

struct tied_count {
    size_t at;   /* count of the drill, from 0 */
    double look; /* where it is */
};

static struct tied_count tied_at(const struct beat_sound *s, struct moves sets,
                                 const struct count_line *all, const struct map_anchor *tie)
{
    double passed = 0;
    for (int i = 0; i < tie->set; i++)
        passed += sets.at[i].counts;
    passed += tie->count - 1;
    const size_t at = (size_t)fmin(ceil(passed - 1e-6), (double)all->n - 1);
    const double look = ((double)tie->us - (double)s->from_us) / (double)s->step_us;
    return (struct tied_count){at, look + fmax((double)at - passed, 0) * all->gap[at]};
}

/* What lies before the first tie, counted back from its beat. */
static size_t before_tie(const double *ob, size_t first, const struct count_line *line, double *out)
{
    double *back = xcalloc(first + 2, sizeof *back), *found = xcalloc(first + 2, sizeof *found);
    for (size_t i = 0; i <= first; i++)
        back[i] = ob[first - i];
    const size_t n = beats_follow((struct looks){back, first + 1}, 0, true, line, found);
    for (size_t i = 1; i < n; i++)
        out[n - 1 - i] = (double)first - found[i];
    free(back);
    free(found);
    return n > 0 ? n - 1 : 0;
}

size_t beats_drill_path(const double *ob, const struct beat_sound *s, const struct map *m,
                        double *out)
{
    const struct map_anchors ties = map_ties(m);
    const struct moves sets = map_moves(m);
    struct arena a = {0};
    const struct count_line all = whole_drill(&a, sets, (double)s->step_us / 1e6);
    double *found = xcalloc(s->n_rises + 1, sizeof *found);
    size_t n = 0;
    for (size_t i = 0; i < ties.n && all.n > 0 && all.gap[0] > 0; i++) {
        const struct tied_count t = tied_at(s, sets, &all, &ties.at[i]);
        const struct count_line on = from_count(&a, &all, t.at, false);
        double end = (double)s->n_rises;
        if (i + 1 < ties.n)
            end = fmin(end, tied_at(s, sets, &all, &ties.at[i + 1]).look + 4);
        const double begin = fmax(t.look - 12, 0);
        if (end - begin < 24)
            continue;
        const size_t got =
            beats_follow((struct looks){ob + (size_t)begin, (size_t)(end - floor(begin))},
                         t.look - floor(begin), false, &on, found);
        if (n == 0 && got > 0) {
            const struct count_line back = from_count(&a, &all, t.at, true);
            n = before_tie(ob, (size_t)(found[0] + floor(begin)), &back, out);
        }
        while (n > 0 && got > 0 && out[n - 1] > found[0] + floor(begin) - 0.5 * all.gap[t.at])
            n--;
        for (size_t k = 0; k < got; k++)
            out[n++] = found[k] + floor(begin);
    }
    free(found);
    arena_free(&a);
    return n;
}
