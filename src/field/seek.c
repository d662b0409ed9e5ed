#include "field/seek.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "field/meant.h"

enum { N = CAMERA_PARAMETERS, DRAWN = 3000, APART = 150 };
enum { BARE = 100 }; /* after so many that explain nothing there is nothing to explain */

/* Shares of the picture's width: further from a bar is as far as any; nearer than that two cameras
 * are the same, since the lock goes from one to the other. */
static const double near_by = 1 / 140.0, same = 1 / 300.0;

/* --- chance ------------------------------------------------------------------------------------- */

static double unit(uint64_t *x)
{
    *x ^= *x << 13;
    *x ^= *x >> 7;
    *x ^= *x << 17;
    return ((double)(*x >> 11) + 0.5) / 9007199254740992.0;
}

static double normal(uint64_t *x)
{
    const double far = sqrt(-2 * log(unit(x)));
    return far * cos(2 * M_PI * unit(x));
}

/* --- what the picks leave open ------------------------------------------------------------------ */

/* A triangle whose square is the covariance; what has no variance of its own stays. */
static void root(double cov[N][N], double low[N][N])
{
    memset(low, 0, N * sizeof *low);
    for (int i = 0; i < N; i++)
        for (int k = 0; k <= i; k++) {
            double v = cov[i][k];
            for (int m = 0; m < k; m++)
                v -= low[i][m] * low[k][m];
            if (i == k)
                low[i][i] = v > 1e-12 * cov[i][i] ? sqrt(v) : 0;
            else
                low[i][k] = low[k][k] > 0 ? v / low[k][k] : 0;
        }
}

static bool from_picks(const struct seek_ask *ask, struct camera_fit *out, struct err *e)
{
    struct meant_ask first = {
        {.picks = ask->picks, .n = ask->n},
        ask->picks,
        ask->n,
        {.width = ask->width, .height = ask->height, .half = ask->grid->back_sideline_in / 2}};
    for (int k = 0; k < N; k++)
        first.ask.free[k] = true;
    memcpy(first.ask.prior, ask->prior, sizeof first.ask.prior);
    return camera_meant(&first, out, e);
}

static struct camera drawn(const struct camera_fit *mean, double low[N][N], uint64_t *chance)
{
    struct camera c = mean->camera;
    double z[N];
    for (int k = 0; k < N; k++)
        z[k] = normal(chance);
    for (int i = 0; i < N; i++)
        for (int k = 0; k <= i; k++)
            c.p[i] += low[i][k] * z[k];
    c.p[CAMERA_CROWN] = fmax(0, c.p[CAMERA_CROWN]);
    return c;
}

/* --- how well one explains the picture ----------------------------------------------------------- */

/* The misses of the picks, each in its sd: half the squares' sum. */
static double unlikely(const struct seek_ask *ask, const struct camera *c)
{
    double sum = 0;
    for (size_t i = 0; i < ask->n; i++) {
        double miss[2] = {0, 0};
        if (pick_miss(c, &ask->picks[i], miss) == 0)
            return INFINITY;
        sum += (miss[0] * miss[0] + miss[1] * miss[1]) / (ask->picks[i].sd * ask->picks[i].sd);
    }
    return sum / 2;
}

/* How many of the expected pieces are at bars; pieces of one line come one after the other. */
static double explains(const struct seek_ask *ask, const struct paint_list *paint,
                       const struct camera *c)
{
    const double far = near_by * c->width;
    double good = 0;
    int n = 0;
    struct pixel last = {0, 0}, at;
    bool had = false;
    for (size_t i = 0; i < paint->n; i++) {
        const struct painted *p = &paint->at[i];
        const bool same_line = had && i > 0 && p->kind != PAINT_HASH &&
                               paint->at[i - 1].kind == p->kind && paint->at[i - 1].line == p->line;
        had = camera_sees(c, p->at, &at, NULL);
        if (had && same_line && at.x > 0 && at.y > 0 && at.x < c->width && at.y < c->height) {
            const double off = ridges_off(ask->ridges, at, at.x - last.x, at.y - last.y) / far;
            n++;
            good += off < 1 ? 1 - off : 0;
        }
        last = at;
    }
    return n ? good / n : 0;
}

/* --- the likeliest ------------------------------------------------------------------------------- */

/* How far two cameras have the picks' spots apart, at most. */
static double apart(const struct seek_ask *ask, const struct camera *a, const struct camera *b)
{
    double most = 0;
    for (size_t i = 0; i < ask->n; i++) {
        struct pixel p, q;
        if (!camera_sees(a, ask->picks[i].on, &p, NULL) ||
            !camera_sees(b, ask->picks[i].on, &q, NULL))
            return INFINITY;
        most = fmax(most, hypot(p.x - q.x, p.y - q.y));
    }
    return most;
}

/* In the order of their worth, of those that are about the same the better one. */
static void keep(const struct seek_ask *ask, struct seek *s, double worth[SEEK_MOST],
                 const struct camera *c, double w)
{
    size_t at = 0;
    while (at < s->n && worth[at] >= w)
        if (apart(ask, &s->at[at++], c) < same * c->width)
            return;
    if (at == SEEK_MOST)
        return;
    size_t end = at;
    while (end < s->n && apart(ask, &s->at[end], c) >= same * c->width)
        end++;
    if (end == s->n && s->n < SEEK_MOST)
        s->n++;
    else if (end == s->n)
        end--;
    memmove(&s->at[at + 1], &s->at[at], (end - at) * sizeof *s->at);
    memmove(&worth[at + 1], &worth[at], (end - at) * sizeof *worth);
    s->at[at] = *c;
    worth[at] = w;
}

bool seek_cameras(const struct seek_ask *ask, struct seek *out, struct err *e)
{
    static const double by_picks = 0.01; /* what a pick's squared miss takes off */
    struct camera_fit mean;
    struct paint_list paint;
    double low[N][N], worth[SEEK_MOST];
    uint64_t chance = 88172645463325252ULL;
    *out = (struct seek){0};
    if (!from_picks(ask, &mean, e))
        return false;
    root(mean.cov, low);
    paint_of(ask->grid, APART, 0, &paint);
    double most = 0;
    for (int i = 0; i < DRAWN && (most > 0 || i < BARE); i++) {
        const struct camera c = i ? drawn(&mean, low, &chance) : mean.camera;
        const double explained = explains(ask, &paint, &c);
        const double w = explained - by_picks * unlikely(ask, &c);
        most = fmax(most, explained);
        if (isfinite(w))
            keep(ask, out, worth, &c, w);
    }
    out->n = most > 0 ? out->n : 0;
    paint_free(&paint);
    return true;
}
