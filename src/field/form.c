#include "field/form.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/assign.h"

enum { ROUNDS = 8, FOR_SCALE = 10 };

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *x, size_t n)
{
    if (n == 0)
        return 0;
    qsort(x, n, sizeof *x, by_size);
    return n % 2 ? x[n / 2] : (x[n / 2 - 1] + x[n / 2]) / 2;
}

static struct field_place middle_of(const struct field_place *p, size_t n, double *scratch)
{
    struct field_place m;
    for (size_t i = 0; i < n; i++)
        scratch[i] = p[i].x;
    m.x = median(scratch, n);
    for (size_t i = 0; i < n; i++)
        scratch[i] = p[i].y;
    m.y = median(scratch, n);
    return m;
}

/* What is tried: where the form's middle is, and what becomes of a dot. */
struct trial {
    const struct form_ask *ask;
    struct field_place middle; /* of the dots */
    struct form_fit fit;
    double *cost, *scratch;
};

static struct field_place meant(const struct trial *t, size_t dot)
{
    const struct field_place d = t->ask->dots[dot], m = t->middle;
    return (struct field_place){m.x + t->fit.scale * (d.x - m.x) + t->fit.shift.x,
                                m.y + t->fit.scale * (d.y - m.y) + t->fit.shift.y};
}

static void pair(struct trial *t)
{
    const struct form_ask *ask = t->ask;
    const double alone = ask->gate * ask->gate;
    for (size_t i = 0; i < ask->n_feet; i++)
        for (size_t k = 0; k < ask->n_dots; k++) {
            const struct field_place d = meant(t, k);
            t->cost[i * ask->n_dots + k] =
                pow(ask->feet[i].x - d.x, 2) + pow(ask->feet[i].y - d.y, 2);
        }
    assign(t->cost, ask->n_feet, ask->n_dots, alone, t->fit.dot);
    t->fit.pairs = 0;
    for (size_t i = 0; i < ask->n_feet; i++)
        t->fit.pairs += t->fit.dot[i] >= 0;
}

static void shift(struct trial *t)
{
    const struct form_ask *ask = t->ask;
    double step[2];
    for (int axis = 0; axis < 2; axis++) {
        size_t n = 0;
        for (size_t i = 0; i < ask->n_feet; i++) {
            if (t->fit.dot[i] < 0)
                continue;
            const struct field_place d = meant(t, (size_t)t->fit.dot[i]);
            t->scratch[n++] = axis ? ask->feet[i].y - d.y : ask->feet[i].x - d.x;
        }
        step[axis] = median(t->scratch, n);
    }
    t->fit.shift.x += step[0];
    t->fit.shift.y += step[1];
}

/* Of the pairs that agree to half the gate: who is off himself does not stretch the form. */
static void stretch(struct trial *t)
{
    const struct form_ask *ask = t->ask;
    double up = 0, down = 0;
    size_t n = 0;
    for (size_t i = 0; i < ask->n_feet; i++) {
        if (t->fit.dot[i] < 0)
            continue;
        const struct field_place d = ask->dots[t->fit.dot[i]], at = meant(t, (size_t)t->fit.dot[i]);
        if (hypot(ask->feet[i].x - at.x, ask->feet[i].y - at.y) > ask->gate / 2)
            continue;
        const double x = d.x - t->middle.x, y = d.y - t->middle.y;
        up += x * (ask->feet[i].x - t->middle.x - t->fit.shift.x) +
              y * (ask->feet[i].y - t->middle.y - t->fit.shift.y);
        down += x * x + y * y;
        n++;
    }
    if (n >= FOR_SCALE && down > 0 && up > 0)
        t->fit.scale = up / down;
}

static void settle(struct trial *t, struct field_place start)
{
    t->fit.shift = start;
    t->fit.scale = 1;
    for (int i = 0; i < ROUNDS; i++) {
        pair(t);
        shift(t);
        stretch(t);
    }
    pair(t);
}

static struct trial begun(struct arena *a, const struct form_ask *ask)
{
    const size_t most = ask->n_feet > ask->n_dots ? ask->n_feet : ask->n_dots;
    struct trial t = {.ask = ask,
                      .cost = arena_alloc(a, (ask->n_feet * ask->n_dots + 1) * sizeof *t.cost),
                      .scratch = arena_alloc(a, (most + 1) * sizeof *t.scratch)};
    t.fit.dot = arena_alloc(a, (ask->n_feet + 1) * sizeof *t.fit.dot);
    t.fit.off = arena_alloc(a, (ask->n_feet + 1) * sizeof *t.fit.off);
    t.middle = middle_of(ask->dots, ask->n_dots, t.scratch);
    return t;
}

/* By distances, not their squares, with the shift as if one more were off by it: that one or two are off
 * by much is likelier than that many are off by a little, or all of them by much. */
static double unlikely(const struct trial *t)
{
    const struct form_ask *ask = t->ask;
    double sum = hypot(t->fit.shift.x, t->fit.shift.y);
    for (size_t i = 0; i < ask->n_feet; i++) {
        const int k = t->fit.dot[i];
        sum += k < 0 ? ask->gate : sqrt(t->cost[i * ask->n_dots + (size_t)k]);
    }
    return sum;
}

/* Has it moved by well over half a step, though every third stands within half a step of the very dot he
 * is paired with? Then it has not. */
static bool has_not_moved(const struct trial *t)
{
    static const double half_step = 11.25;
    size_t on = 0;
    for (size_t i = 0; i < t->ask->n_feet; i++) {
        const struct field_place foot = t->ask->feet[i];
        const int k = t->fit.dot[i];
        on += k >= 0 && hypot(foot.x - t->ask->dots[k].x, foot.y - t->ask->dots[k].y) <= half_step;
    }
    return hypot(t->fit.shift.x, t->fit.shift.y) > 1.5 * half_step && 3 * on >= t->fit.pairs;
}

void form_check(struct arena *a, const struct form_ask *ask, struct form_fit *out)
{
    struct trial as_is = begun(a, ask), moved = begun(a, ask);
    const struct field_place feet = middle_of(ask->feet, ask->n_feet, moved.scratch);
    settle(&as_is, (struct field_place){0, 0});
    settle(&moved, (struct field_place){feet.x - moved.middle.x, feet.y - moved.middle.y});
    struct trial *best = unlikely(&moved) < unlikely(&as_is) ? &moved : &as_is;
    if (has_not_moved(best)) {
        best->fit.shift = (struct field_place){0, 0};
        best->fit.scale = 1;
    }
    for (size_t i = 0; i < ask->n_feet; i++) {
        const int k = best->fit.dot[i];
        const struct field_place d = k >= 0 ? meant(best, (size_t)k) : ask->feet[i];
        best->fit.off[i] = (struct field_place){ask->feet[i].x - d.x, ask->feet[i].y - d.y};
    }
    *out = best->fit;
}
