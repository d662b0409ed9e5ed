#include "field/ridges.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "field/bar.h"

static const double least_bright = 8;  /* grey levels above both sides */
static const double above_noise = 2.5; /* sd of a bar's contrast */

/* --- one row, or one column ---------------------------------------------------------------------- */

struct strip {
    double *sum;       /* of the levels before each */
    uint8_t *distance; /* to fill, `step` apart */
    size_t step;
    int n;
    double noise;
};

static double mean(const double *sum, int from, int to)
{
    return (sum[to] - sum[from]) / (to - from);
}

static double contrast(const struct strip *s, int from, int bar, int side)
{
    const double left = mean(s->sum, from - side, from);
    const double right = mean(s->sum, from + bar, from + bar + side);
    return mean(s->sum, from, from + bar) - fmax(left, right);
}

/* Marks the middles of bars of one width that are more of a bar than those beside them. */
static void mark(const struct strip *s, int bar)
{
    const int side = bar < 2 ? 2 : bar;
    const double least = fmax(least_bright, above_noise * s->noise * sqrt(1.0 / bar + 1.0 / side));
    double before = 0, now = 0;
    for (int from = side; from + bar + side <= s->n; from++) {
        const double next = contrast(s, from, bar, side);
        if (now > least && now >= before && now > next)
            s->distance[(size_t)(from - 1 + bar / 2) * s->step] = 0;
        before = now;
        now = next;
    }
}

static void spread(const struct strip *s)
{
    for (int i = 1; i < s->n; i++) {
        const uint8_t last = s->distance[(size_t)(i - 1) * s->step];
        uint8_t *here = &s->distance[(size_t)i * s->step];
        if (last + 1 < *here)
            *here = (uint8_t)(last + 1);
    }
    for (int i = s->n - 2; i >= 0; i--) {
        const uint8_t last = s->distance[(size_t)(i + 1) * s->step];
        uint8_t *here = &s->distance[(size_t)i * s->step];
        if (last + 1 < *here)
            *here = (uint8_t)(last + 1);
    }
}

static void search(const struct strip *s)
{
    static const int bars[] = {1, 3, 6, 12};
    for (size_t i = 0; i < sizeof bars / sizeof *bars; i++)
        mark(s, bars[i]);
    spread(s);
}

/* --- all of them --------------------------------------------------------------------------------- */

/* Levels of a strip three pixels wide, which halves the noise and blurs no bar that crosses it. */
static void sum_up(const struct luma *l, bool column, int at, struct strip *s)
{
    const size_t along = column ? l->stride : 1, beside = column ? 1 : l->stride;
    const uint8_t *p = l->at + (size_t)at * beside;
    s->sum[0] = 0;
    for (int i = 0; i < s->n; i++, p += along)
        s->sum[i + 1] = s->sum[i] + (p[0] + *(p - beside) + p[beside]) / 3.0;
}

/* The means of squares of `by` pixels; heap memory. */
static uint8_t *reduced(const struct luma *l, int by, struct luma *out)
{
    *out = (struct luma){NULL, l->width / by, l->height / by, (size_t)(l->width / by)};
    uint8_t *to = xcalloc(out->stride * (size_t)out->height, 1);
    for (int y = 0; y < out->height; y++)
        for (int x = 0; x < out->width; x++) {
            int sum = by * by / 2;
            for (int i = 0; i < by * by; i++)
                sum += l->at[(size_t)(y * by + i / by) * l->stride + (size_t)(x * by + i % by)];
            to[(size_t)y * out->stride + (size_t)x] = (uint8_t)(sum / (by * by));
        }
    out->at = to;
    return to;
}

static void map(const struct luma *l, double noise, struct ridges *out)
{
    const size_t w = (size_t)l->width, h = (size_t)l->height;
    double *sum = xcalloc((w > h ? w : h) + 1, sizeof *sum);
    out->in_row = xcalloc(w * h, 1);
    out->in_column = xcalloc(w * h, 1);
    out->width = l->width;
    out->height = l->height;
    memset(out->in_row, RIDGES_FAR, w * h);
    memset(out->in_column, RIDGES_FAR, w * h);
    for (int y = 1; y + 1 < l->height; y++) {
        struct strip s = {sum, out->in_row + (size_t)y * w, 1, l->width, noise};
        sum_up(l, false, y, &s);
        search(&s);
    }
    for (int x = 1; x + 1 < l->width; x++) {
        struct strip s = {sum, out->in_column + x, w, l->height, noise};
        sum_up(l, true, x, &s);
        search(&s);
    }
    free(sum);
}

void ridges_of(const struct luma *l, struct ridges *out)
{
    enum { MOST = 4 };
    static const double quiet = 4; /* grey levels */
    const double noise = luma_noise(l);
    struct luma less;
    *out = (struct ridges){.reduced = 1 + (int)fmin(MOST - 1, noise / quiet)};
    uint8_t *own = reduced(l, out->reduced, &less);
    map(&less, noise / out->reduced / sqrt(3), out);
    free(own);
}

void ridges_free(struct ridges *r)
{
    free(r->in_row);
    free(r->in_column);
    *r = (struct ridges){0};
}

double ridges_off(const struct ridges *r, struct pixel at, double dx, double dy)
{
    const double x = at.x / r->reduced, y = at.y / r->reduced, length = hypot(dx, dy);
    if (!(x >= 0 && y >= 0 && x < r->width && y < r->height) || !(length > 0))
        return RIDGES_FAR;
    const size_t i = (size_t)y * (size_t)r->width + (size_t)x;
    return fabs(dy) > fabs(dx) ? r->reduced * r->in_row[i] * fabs(dy) / length
                               : r->reduced * r->in_column[i] * fabs(dx) / length;
}
