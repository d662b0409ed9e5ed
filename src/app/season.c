#include "app/season.h"

#include <math.h>
#include <string.h>

struct gather {
    struct app *app;
    struct arena *mem;
    struct clip_sum *sums;
};

static void on_marks(void *ctx, const struct clip_marks *row)
{
    struct gather *g = ctx;
    for (size_t i = 0; i < g->app->clips.n; i++)
        if (g->sums[i].clip->id == row->clip) {
            g->sums[i].marks = row->marks;
            g->sums[i].by = arena_strdup(g->mem, row->authors);
        }
}

static const char *watchers(const struct reviewed_list *l, struct arena *mem)
{
    const char *text = "";
    for (size_t i = 0; i < l->n; i++) /* they stand by name */
        if (i == 0 || strcmp(l->at[i].reviewer, l->at[i - 1].reviewer) != 0)
            text = arena_printf(mem, "%s%s%s", text, *text ? ", " : "", l->at[i].reviewer);
    return text;
}

static bool look(struct gather *g, struct clip_sum *sum, struct err *e)
{
    struct store *s = g->app->store;
    struct stretch_list watched;
    struct reviewed_list by;
    struct tie_list ties;
    const int64_t clip = sum->clip->id;
    if (!store_watched(s, g->mem, clip, &watched, e) || !store_reviewed(s, g->mem, clip, &by, e) ||
        !store_ties(s, g->mem, clip, &ties, e))
        return false;
    double us = 0;
    for (size_t i = 0; i < watched.n; i++)
        us += (double)watched.at[i].to_us - (double)watched.at[i].from_us;
    sum->watched = sum->clip->length_us > 0 ? fmin(us / (double)sum->clip->length_us, 1) : 0;
    sum->ties = ties.n;
    sum->path = app_clip_here(g->app, g->mem, sum->clip);
    if (!*sum->by)
        sum->by = watchers(&by, g->mem);
    return true;
}

bool app_season(struct app *a, struct arena *mem, struct clip_sum **out, struct err *e)
{
    struct gather g = {a, mem, arena_alloc(mem, (a->clips.n + 1) * sizeof *g.sums)};
    for (size_t i = 0; i < a->clips.n; i++)
        g.sums[i] = (struct clip_sum){.clip = &a->clips.at[i], .by = ""};
    *out = g.sums;
    bool ok = store_each_clip_marks(a->store, on_marks, &g, e);
    for (size_t i = 0; ok && i < a->clips.n; i++)
        ok = look(&g, &g.sums[i], e);
    return ok;
}
