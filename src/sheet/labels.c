#include "sheet/labels.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"

enum { ROUNDS = 8 };

/* Where a label may stand: towards a side or a corner of its dot, pushed along that side by a part
 * of its own length. Straight above nobody takes it for another's; far off a line joins them. */
static const struct way {
    int x, y;
    double push;
} ways[] = {{0, -1, 0},    {0, 1, 0},    {1, 0, 0},     {-1, 0, 0},   {1, -1, 0},    {-1, 1, 0},
            {1, 1, 0},     {-1, -1, 0},  {0, -1, 0.25}, {0, 1, 0.25}, {0, -1, -.25}, {0, 1, -.25},
            {0, -1, 0.45}, {0, 1, 0.45}, {0, -1, -.45}, {0, 1, -.45}};
enum { WAYS = sizeof ways / sizeof *ways, RINGS = 6, PLACES = WAYS * RINGS };

/* --- geometry ------------------------------------------------------------------------------------- */

/* fmin() and fmax() mind what is no number, and are many times slower. */
static double lesser(double a, double b)
{
    return a < b ? a : b;
}

static double greater(double a, double b)
{
    return a > b ? a : b;
}

static double shared(double a, double a_long, double b, double b_long)
{
    return greater(0, lesser(a + a_long, b + b_long) - greater(a, b));
}

static double area(const struct rect *a, const struct rect *b)
{
    return shared(a->left, a->wide, b->left, b->wide) * shared(a->top, a->high, b->top, b->high);
}

/* The part of from .. to (0 .. 1 along a line) that lies in low .. high. */
static void clip(double at, double way, double low, double high, double *from, double *to)
{
    if (fabs(way) < 1e-9) {
        if (at <= low || at >= high)
            *to = -1;
        return;
    }
    const double a = (low - at) / way, b = (high - at) / way;
    *from = greater(*from, lesser(a, b));
    *to = lesser(*to, greater(a, b));
}

static bool crosses(const struct label_line *l, const struct rect *r)
{
    double from = 0, to = 1;
    clip(l->x1, l->x2 - l->x1, r->left, r->left + r->wide, &from, &to);
    clip(l->y1, l->y2 - l->y1, r->top, r->top + r->high, &from, &to);
    return from < to;
}

static double turn(double ax, double ay, double bx, double by)
{
    return ax * by - ay * bx;
}

static bool lines_cross(const struct label_line *a, const struct label_line *b)
{
    const double ax = a->x2 - a->x1, ay = a->y2 - a->y1, bx = b->x2 - b->x1, by = b->y2 - b->y1;
    return turn(ax, ay, b->x1 - a->x1, b->y1 - a->y1) * turn(ax, ay, b->x2 - a->x1, b->y2 - a->y1) <
               0 &&
           turn(bx, by, a->x1 - b->x1, a->y1 - b->y1) * turn(bx, by, a->x2 - b->x1, a->y2 - b->y1) <
               0;
}

/* From the dot's edge to the nearest of the label. */
static struct label_line join(const struct label *l, double radius)
{
    const double x = lesser(greater(l->x, l->at.left), l->at.left + l->at.wide),
                 y = lesser(greater(l->y, l->at.top), l->at.top + l->at.high),
                 far = greater(hypot(x - l->x, y - l->y), 1e-9), part = lesser(1, radius / far);
    return (struct label_line){l->x + (x - l->x) * part, l->y + (y - l->y) * part, x, y};
}

/* --- one label ------------------------------------------------------------------------------------ */

/* At a corner it touches the dot's circle where the diagonal does. */
static void stand(struct label *l, int place, double radius)
{
    const int ring = place / WAYS;
    const struct way *way = &ways[place % WAYS];
    const double away = (way->x && way->y ? 0.71 * radius : radius) + ring * (l->high + 1);
    l->at = (struct rect){l->x + way->x * (away + l->wide / 2) - l->wide * (0.5 - way->push),
                          l->y + way->y * (away + l->high / 2) - l->high / 2, l->wide, l->high};
    l->away = ring > 0;
    l->line = join(l, radius);
}

/* What is so near to a label that it may come to lie on it. */
struct near {
    size_t *dots, *labels;
    size_t n_dots, n_labels;
};

struct work {
    struct label *labels;
    size_t n;
    const struct label_ground *g;
    bool *placed;
    struct near near;
};

static double reach(const struct label *l, double radius)
{
    return radius + l->wide + RINGS * (l->high + 1) + 1;
}

static void look_around(struct work *w, size_t me)
{
    const struct label *l = &w->labels[me];
    const double mine = reach(l, w->g->radius);
    w->near.n_dots = w->near.n_labels = 0;
    for (size_t i = 0; i < w->g->n_dots; i++)
        if (hypot(w->g->dots[i][0] - l->x, w->g->dots[i][1] - l->y) < mine + w->g->radius)
            w->near.dots[w->near.n_dots++] = i;
    for (size_t i = 0; i < w->n; i++)
        if (i != me && w->placed[i] && !w->labels[i].out &&
            hypot(w->labels[i].x - l->x, w->labels[i].y - l->y) <
                mine + reach(&w->labels[i], w->g->radius))
            w->near.labels[w->near.n_labels++] = i;
}

/* A line that runs through something is as bad as a label that lies on a good part of it. */
enum { LINE_THROUGH = 20 };

/* Each adds what it finds to *all, and ends early once that is more than is wanted. */
static void covers_dots(const struct work *w, const struct label *l, double most, double *all)
{
    const double r = w->g->radius;
    for (size_t k = 0; k < w->near.n_dots && *all < most; k++) {
        const double *dot = w->g->dots[w->near.dots[k]];
        const struct rect square = {dot[0] - r, dot[1] - r, 2 * r, 2 * r};
        const bool own = dot[0] == l->x && dot[1] == l->y;
        *all += area(&l->at, &square);
        if (l->away && !own && crosses(&l->line, &square))
            *all += LINE_THROUGH;
    }
}

static void covers_labels(const struct work *w, const struct label *l, double most, double *all)
{
    for (size_t k = 0; k < w->near.n_labels && *all < most; k++) {
        const struct label *other = &w->labels[w->near.labels[k]];
        *all += 4 * area(&l->at, &other->at);
        if (l->away && crosses(&l->line, &other->at))
            *all += LINE_THROUGH;
        if (!other->away)
            continue;
        if (crosses(&other->line, &l->at) || (l->away && lines_cross(&l->line, &other->line)))
            *all += LINE_THROUGH;
    }
}

/* 0: it is free. What is `most` or more need not be exact. */
static double covers(const struct work *w, const struct label *l, double most)
{
    double all = 4 * greater(0, l->wide * l->high - area(&l->at, &w->g->within) - 1e-6);
    for (size_t i = 0; i < w->g->n_taken; i++)
        all += 4 * area(&l->at, &w->g->taken[i]);
    covers_dots(w, l, most, &all);
    covers_labels(w, l, most, &all);
    return all;
}

/* The first free place, else that which covers least. Returns what it covers there. */
static double choose(struct work *w, size_t me)
{
    struct label *l = &w->labels[me], best = *l;
    double least = INFINITY;
    for (int place = 0; place < PLACES && least > 0; place++) {
        stand(l, place, w->g->radius);
        const double all = covers(w, l, least);
        if (all < least) {
            least = all;
            best = *l;
        }
    }
    *l = best;
    return least;
}

/* --- all ------------------------------------------------------------------------------------------ */

/* Whoever covers something looks for another place. Returns how many do still. */
static size_t go_round(struct work *w)
{
    size_t bad = 0;
    for (size_t i = 0; i < w->n; i++) {
        look_around(w, i);
        if (!w->placed[i] || covers(w, &w->labels[i], INFINITY) > 0)
            bad += choose(w, i) > 0;
        w->placed[i] = true;
    }
    return bad;
}

/* Later ones give way. */
static void leave_out(struct work *w)
{
    for (size_t i = w->n; i-- > 0;) {
        look_around(w, i);
        w->labels[i].out = covers(w, &w->labels[i], INFINITY) > 0;
    }
}

/* Those who are gone may have left room for some of them. */
static size_t take_back(struct work *w)
{
    size_t out = 0;
    for (size_t i = 0; i < w->n; i++)
        if (w->labels[i].out) {
            look_around(w, i);
            w->labels[i].out = choose(w, i) > 0;
            out += w->labels[i].out;
        }
    return out;
}

size_t labels_place(struct label *labels, size_t n, const struct label_ground *ground)
{
    struct work w = {.labels = labels,
                     .n = n,
                     .g = ground,
                     .placed = xcalloc(n + 1, sizeof *w.placed),
                     .near = {.dots = xcalloc(ground->n_dots + 1, sizeof *w.near.dots),
                              .labels = xcalloc(n + 1, sizeof *w.near.labels)}};
    size_t bad = n, out = 0;
    for (size_t i = 0; i < n; i++)
        labels[i].out = false;
    for (size_t round = 0, before = n + 1; round < ROUNDS && bad > 0 && bad < before; round++) {
        before = bad;
        bad = go_round(&w);
    }
    if (bad > 0) {
        leave_out(&w);
        out = take_back(&w);
    }
    free(w.placed);
    free(w.near.dots);
    free(w.near.labels);
    return out;
}
