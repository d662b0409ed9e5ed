#include "app/run_seen.h"

#include <stdlib.h>
#include <string.h>

#include "app/one_run.h"
#include "app/ties.h"
#include "base/number.h"
#include "rank/compare.h"
#include "rank/stat_stretch.h"
#include "store/rep_history.h"

struct gather {
    struct app *app;
    struct arena *mem;
    struct runs_seen *out;
    const struct seen_wanted *wanted;
    struct clip_of_run {
        size_t run;
        int64_t made_at;
        struct run_clock clock; /* own is NULL: not tied */
    } * clips;                  /* of each clip of the show */
    size_t last;                /* the clip looked up last */
    struct stat_stretch *pieces;
    size_t n_pieces, cap_pieces;
    struct sighting *at;
    size_t n, cap;
};

static bool clip_found(struct gather *g, int64_t id)
{
    const struct clip_list *l = &g->app->clips;
    if (g->last < l->n && l->at[g->last].id == id)
        return true;
    for (g->last = 0; g->last < l->n && l->at[g->last].id != id; g->last++)
        ;
    return g->last < l->n;
}

static void on_clip_made(void *ctx, int64_t clip, int64_t made_at)
{
    struct gather *g = ctx;
    if (clip_found(g, clip))
        g->clips[g->last].made_at = made_at;
}

/* --- minutes ---------------------------------------------------------------------------------- */

static void add_piece(void *ctx, const struct stretch *piece)
{
    struct gather *g = ctx;
    g->pieces = array_grow(g->pieces, g->n_pieces, &g->cap_pieces, sizeof *g->pieces);
    g->pieces[g->n_pieces++] = (struct stat_stretch){piece->from_us, piece->to_us};
}

/* What was watched of the run, cut at the sets. */
static void add_minutes(struct gather *g, const struct map *lead, double *minutes)
{
    size_t n;
    const struct map_span *spans = map_spans(lead, &n);
    const size_t n_pieces = stat_stretch_merge(g->pieces, g->n_pieces);
    for (size_t i = 0; i < n_pieces; i++)
        for (size_t k = 0; k < n; k++) {
            const struct stat_stretch *p = &g->pieces[i];
            const int64_t from = spans[k].from_us > p->from ? spans[k].from_us : p->from;
            const int64_t to = spans[k].to_us < p->to ? spans[k].to_us : p->to;
            if (to > from)
                minutes[spans[k].set] += (double)(to - from) / 60e6;
        }
}

static bool watch_clip(struct gather *g, size_t clip, const struct map **lead, struct err *e)
{
    const struct clip *c = &g->app->clips.at[clip];
    const struct map *own = app_map(g->app, c, g->mem, NULL, e);
    struct stretch_list watched;
    size_t n_spans = 0;
    if (!own || !store_watched(g->app->store, g->mem, c->id, &watched, e))
        return false;
    map_spans(own, &n_spans);
    if (n_spans == 0)
        return true;
    *lead = *lead ? *lead : own;
    g->clips[clip].clock = (struct run_clock){own, *lead};
    for (size_t i = 0; i < watched.n; i++)
        run_stretch(&g->clips[clip].clock, &watched.at[i], add_piece, g);
    return true;
}

/* The run that begins with a clip; returns where the next begins, or 0 with e. */
static size_t watch_run(struct gather *g, size_t first, struct err *e)
{
    const struct clip_list *l = &g->app->clips;
    struct seen_run *run = &g->out->runs[g->out->n_runs];
    const struct map *lead = NULL;
    size_t i = first;
    g->n_pieces = 0;
    *run = (struct seen_run){l->at[first].date, g->clips[first].made_at,
                             arena_alloc(g->mem, (g->app->show.n_sets + 1) * sizeof(double))};
    for (; i < l->n && l->at[i].run == l->at[first].run && strcmp(l->at[i].date, run->date) == 0;
         i++) {
        g->clips[i].run = g->out->n_runs;
        run->made_at = g->clips[i].made_at < run->made_at ? g->clips[i].made_at : run->made_at;
        if (!watch_clip(g, i, &lead, e))
            return 0;
    }
    if (lead)
        add_minutes(g, lead, run->minutes);
    g->out->n_runs++;
    return i;
}

static bool watch_runs(struct gather *g, struct err *e)
{
    const size_t n = g->app->clips.n;
    g->out->runs = arena_alloc(g->mem, (n + 1) * sizeof *g->out->runs);
    for (size_t i = 0; i < n;)
        if ((i = watch_run(g, i, e)) == 0)
            return false;
    return true;
}

/* --- sightings -------------------------------------------------------------------------------- */

static bool on_seen(void *ctx, const struct seen_row *row)
{
    struct gather *g = ctx;
    int64_t at_us;
    if (row->praise || row->set < 0 || !g->wanted->faults[row->fault] || !clip_found(g, row->clip))
        return true;
    const struct clip_of_run *c = &g->clips[g->last];
    if (!run_time(&c->clock, row->at_us, &at_us))
        return true;
    g->at = array_grow(g->at, g->n, &g->cap, sizeof *g->at);
    g->at[g->n++] = (struct sighting){row->section, row->fault, row->set, c->run, at_us};
    return true;
}

static int by_line(const struct sighting *x, const struct sighting *y)
{
    return x->section != y->section ? (x->section < y->section ? -1 : 1)
                                    : (x->fault > y->fault) - (x->fault < y->fault);
}

static int by_run(const struct sighting *x, const struct sighting *y)
{
    return (x->run > y->run) - (x->run < y->run);
}

static int by_time(const void *a, const void *b)
{
    const struct sighting *x = a, *y = b;
    const int line = by_line(x, y), run = by_run(x, y);
    return line ? line : run ? run : (x->at_us > y->at_us) - (x->at_us < y->at_us);
}

static int by_set(const void *a, const void *b)
{
    const struct sighting *x = a, *y = b;
    const int line = by_line(x, y);
    return line ? line : x->set != y->set ? (x->set < y->set ? -1 : 1) : by_run(x, y);
}

/* The first of those that are one sighting stays. */
static void join_sightings(struct gather *g)
{
    size_t kept = 0;
    if (g->n == 0)
        return;
    qsort(g->at, g->n, sizeof *g->at, by_time);
    for (size_t i = 0; i < g->n; i++) {
        const struct sighting *first = kept ? &g->at[kept - 1] : NULL;
        if (!first || by_line(first, &g->at[i]) || by_run(first, &g->at[i]) ||
            us_apart(g->at[i].at_us, first->at_us) >= COMPARE_SIGHT_US)
            g->at[kept++] = g->at[i];
    }
    g->n = kept;
    qsort(g->at, g->n, sizeof *g->at, by_set);
}

/* Section by section: a mark on two of them is one of each. */
static bool see_marks(struct gather *g, struct err *e)
{
    for (int i = 0; i < (int)g->app->show.n_sections; i++) {
        const struct seen_choice one = {.sections = &i, .n_sections = 1, .performer = -1};
        if (g->wanted->sections[i] && !store_each_seen(g->app->store, &one, on_seen, g, e))
            return false;
    }
    join_sightings(g);
    return true;
}

/* --- the whole -------------------------------------------------------------------------------- */

bool app_runs_seen(struct app *a, const struct seen_wanted *wanted, struct arena *mem,
                   struct runs_seen *out, struct err *e)
{
    struct gather g = {.app = a, .mem = mem, .out = out, .wanted = wanted};
    *out = (struct runs_seen){0};
    g.clips = arena_alloc(mem, (a->clips.n + 1) * sizeof *g.clips);
    const bool ok = store_each_clip_made(a->store, on_clip_made, &g, e) && watch_runs(&g, e) &&
                    see_marks(&g, e);
    free(g.pieces);
    out->at = arena_take(mem, g.at, g.n * sizeof *g.at);
    out->n = g.n;
    return ok;
}

/* Where the first stands that is not before it. */
static size_t place_of(const struct runs_seen *r, const struct sighting *which)
{
    size_t low = 0, high = r->n;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (by_set(&r->at[middle], which) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

int runs_seen_count(const struct runs_seen *r, const struct sighting *which)
{
    struct sighting next = *which;
    next.run++;
    return (int)(place_of(r, &next) - place_of(r, which));
}
