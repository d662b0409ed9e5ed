#include "field/way.h"

#include <math.h>
#include <stdbool.h>

/* Places of the trail that are as near to a dot as this are equally near; steps. */
static const double equal = 0.01;

static double between(struct dot_place a, struct dot_place b)
{
    return hypot(b.x - a.x, b.y - a.y);
}

static struct dot_place part_of(struct dot_place a, struct dot_place b, double part)
{
    return (struct dot_place){a.x + part * (b.x - a.x), a.y + part * (b.y - a.y)};
}

static struct trail *trail_of(struct arena *a, const struct file_walk *file)
{
    struct trail *t = arena_alloc(a, sizeof *t);
    *t = (struct trail){arena_alloc(a, (file->n + 1) * sizeof *t->at),
                        arena_alloc(a, (file->n + 1) * sizeof *t->along), file->n + 1};
    for (size_t i = 0; i < file->n; i++)
        t->at[i] = file->from[file->n - 1 - i];
    t->at[file->n] = file->to[0];
    for (size_t i = 1; i < t->n; i++)
        t->along[i] = t->along[i - 1] + between(t->at[i - 1], t->at[i]);
    return t;
}

/* How far along the piece behind place i the nearest place to `dot` is, 0..1. */
static double nearest_part(const struct trail *t, size_t i, struct dot_place dot)
{
    const struct dot_place a = t->at[i], b = t->at[i + 1];
    const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    const double part = square > 0 ? ((dot.x - a.x) * dx + (dot.y - a.y) * dy) / square : 0;
    return fmin(1, fmax(0, part));
}

/* Where one who begins at place `first` leaves the trail. */
static double leave(const struct trail *t, size_t first, struct dot_place dot, double length)
{
    double best = INFINITY, at = t->along[first];
    for (size_t i = first; i + 1 < t->n; i++) {
        const double part = nearest_part(t, i, dot);
        const double off = between(part_of(t->at[i], t->at[i + 1], part), dot);
        const double along = t->along[i] + part * (t->along[i + 1] - t->along[i]);
        const double same_way = fabs(along - t->along[first] - length);
        const bool nearer = off < best - equal;
        if (!nearer && (off > best + equal || same_way >= fabs(at - t->along[first] - length)))
            continue;
        best = nearer ? off : fmin(off, best);
        at = along;
    }
    return at;
}

struct way *ways_of(struct arena *a, const struct file_walk *file)
{
    struct way *w = arena_alloc(a, file->n * sizeof *w);
    const struct trail *t = trail_of(a, file);
    const double length = between(file->from[0], file->to[0]);
    for (size_t i = 0; i < file->n; i++) {
        const size_t first = file->n - 1 - i;
        w[i] = (struct way){t, t->along[first], leave(t, first, file->to[i], length), file->to[i]};
    }
    w[0].leaves = t->along[file->n];
    return w;
}

static struct dot_place on_trail(const struct trail *t, double along)
{
    size_t low = 0, high = t->n - 1; /* along[low] <= along < along[high] */
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (t->along[middle] <= along)
            low = middle;
        else
            high = middle;
    }
    const double piece = t->along[high] - t->along[low];
    return part_of(t->at[low], t->at[high],
                   piece > 0 ? fmin(1, (along - t->along[low]) / piece) : 0);
}

double way_length(const struct way *w)
{
    return w->leaves - w->from + between(on_trail(w->trail, w->leaves), w->to);
}

struct dot_place way_at(const struct way *w, double part)
{
    const double behind = w->leaves - w->from, gone = part * way_length(w);
    if (part >= 1)
        return w->to;
    if (gone <= behind)
        return on_trail(w->trail, w->from + gone);
    const double rest = way_length(w) - behind;
    return part_of(on_trail(w->trail, w->leaves), w->to, (gone - behind) / rest);
}
