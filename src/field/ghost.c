#include "field/ghost.h"

#include <math.h>
#include <string.h>

static struct dot_place place_of(const struct dot *d)
{
    return (struct dot_place){d->x, d->y};
}

static size_t cell(const struct ghosts *g, int performer, int set)
{
    return (size_t)performer * g->show->n_sets + (size_t)set;
}

static const struct dot *dot_at(const struct ghosts *g, int performer, int set)
{
    return set >= 0 ? g->at[cell(g, performer, set)] : NULL;
}

/* --- who follows whom ------------------------------------------------------------------------ */

/* Those of a file who have both dots. */
struct walkers {
    int who[PATH_FILE_MOST];
    struct dot_place from[PATH_FILE_MOST], to[PATH_FILE_MOST];
    size_t n;
};

static void add_walker(const struct ghosts *g, struct walkers *w, int performer, int set)
{
    for (size_t i = 0; i < w->n; i++)
        if (w->who[i] == performer)
            return;
    w->who[w->n] = performer;
    w->n += ghost_dot(g, performer, set - 1, &w->from[w->n]) &&
            ghost_dot(g, performer, set, &w->to[w->n]);
}

static void follow(const struct ghosts *g, const struct path_file *file, int set, struct arena *a)
{
    struct walkers w = {.n = 0};
    for (size_t i = 0; i < file->n; i++)
        add_walker(g, &w, show_performer(g->show, file->labels[i]), set);
    if (w.n < 2)
        return;
    const struct way *ways = ways_of(a, &(struct file_walk){w.from, w.to, w.n});
    for (size_t i = 0; i < w.n; i++)
        g->ways[cell(g, w.who[i], set)] = &ways[i];
}

static void read_paths(const struct ghosts *g, struct path *paths, struct arena *a)
{
    for (size_t s = 0; s < g->show->n_sets; s++) {
        const struct set *set = &g->show->sets[s];
        struct err ignored; /* `boxcall check` says it */
        if (path_read(a, set->path, set->counts, &paths[s], &ignored))
            for (size_t f = 0; f < paths[s].n_files; f++)
                follow(g, &paths[s].files[f], (int)s, a);
    }
}

struct ghosts ghosts_of(const struct show *show, struct arena *a)
{
    const size_t n = show->n_performers * show->n_sets;
    struct path *paths = arena_alloc(a, (show->n_sets + 1) * sizeof *paths);
    struct ghosts g = {show, arena_alloc(a, (n + 1) * sizeof *g.at),
                       arena_alloc(a, (n + 1) * sizeof *g.ways), paths};
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *d = &show->dots[i];
        g.at[cell(&g, d->performer, d->set)] = d;
    }
    read_paths(&g, paths, a);
    return g;
}

/* --- where they are -------------------------------------------------------------------------- */

static bool known(const struct ghosts *g, int performer, int set)
{
    return performer >= 0 && (size_t)performer < g->show->n_performers && set >= 0 &&
           (size_t)set < g->show->n_sets;
}

static double walking_counts(const struct ghosts *g, int set)
{
    const struct path *p = &g->paths[set];
    return g->show->sets[set].counts - p->hold - p->halt;
}

/* The part of the way that is behind them at a count. */
static double gone(const struct ghosts *g, struct set_count when)
{
    const double counts = walking_counts(g, when.set);
    return counts > 0 ? fmin(1, fmax(0, (when.count - 1 - g->paths[when.set].hold) / counts)) : 1;
}

bool ghost_at(const struct ghosts *g, int performer, struct set_count when, struct dot_place *out)
{
    if (!known(g, performer, when.set) || !isfinite(when.count))
        return false;
    const struct dot *to = dot_at(g, performer, when.set),
                     *from = dot_at(g, performer, when.set - 1);
    const struct way *way = g->ways[cell(g, performer, when.set)];
    const double part = gone(g, when);
    if (!to || (!from && part < 1))
        return false;
    if (part >= 1)
        *out = place_of(to);
    else if (way)
        *out = way_at(way, part);
    else
        *out = (struct dot_place){from->x + part * (to->x - from->x),
                                  from->y + part * (to->y - from->y)};
    return true;
}

bool ghost_dot(const struct ghosts *g, int performer, int set, struct dot_place *out)
{
    const struct dot *d = known(g, performer, set) ? dot_at(g, performer, set) : NULL;
    if (d)
        *out = place_of(d);
    return d != NULL;
}

/* --- what it asks of them -------------------------------------------------------------------- */

static double straight_inches(const struct grid *grid, struct dot_place a, struct dot_place b)
{
    return hypot((b.x - a.x) * GRID_ACROSS_IN, grid_depth_in(grid, b.y) - grid_depth_in(grid, a.y));
}

/* The grid may change on the way, so the inches of a way are those of its pieces. */
static double way_inches(const struct grid *grid, const struct way *w)
{
    const struct trail *t = w->trail;
    struct dot_place at = way_at(w, 0);
    double inches = 0;
    for (size_t i = 0; i < t->n; i++)
        if (t->along[i] > w->from && t->along[i] < w->leaves) {
            inches += straight_inches(grid, at, t->at[i]);
            at = t->at[i];
        }
    const double length = way_length(w), behind = w->leaves - w->from;
    const struct dot_place left = way_at(w, length > 0 ? behind / length : 1);
    return inches + straight_inches(grid, at, left) + straight_inches(grid, left, w->to);
}

bool ghost_pace(const struct ghosts *g, int performer, int set, struct ghost_pace *out)
{
    if (!known(g, performer, set) || walking_counts(g, set) <= 0)
        return false;
    const struct dot *to = dot_at(g, performer, set), *from = dot_at(g, performer, set - 1);
    const struct way *way = g->ways[cell(g, performer, set)];
    const struct grid *grid = &g->show->grid;
    if (!to || !from)
        return false;
    *out = (struct ghost_pace){
        .steps = way ? way_length(way) : hypot(to->x - from->x, to->y - from->y),
        .inches = way ? way_inches(grid, way) : straight_inches(grid, place_of(from), place_of(to)),
        .counts = walking_counts(g, set),
        .follows = way != NULL,
    };
    return true;
}

double pace_to_five(const struct ghost_pace *p)
{
    const double five_yards_in = 180;
    return p->inches > 0 ? five_yards_in * p->counts / p->inches : 0;
}

bool ghost_stands(const struct ghosts *g, int performer, struct set_count when,
                  struct dot_place *out)
{
    struct dot_place before;
    return ghost_at(g, performer, when, out) || (!ghost_dot(g, performer, when.set - 1, &before) &&
                                                 ghost_dot(g, performer, when.set, out));
}
