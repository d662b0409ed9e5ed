#include "app/field_marks.h"

#include <stdio.h>

#include "app/ties.h"
#include "field/ghost.h"
#include "field/spread.h"

/* --- where a mark is --------------------------------------------------------------------------- */

bool app_mark_place(struct field_view *v, const struct mark_click *click, struct mark *m,
                    struct err *e)
{
    const struct pixel at = click->at;
    const struct grid *g = &v->app->show.grid;
    const struct clicks one = {&at, 1, CLICK_SD_PX * v->clip->height / 1080};
    struct seen_by by;
    struct measured on;
    struct err why;
    char pixel[60];
    if (v->clip->width <= 0)
        return err_set(e, ERR_INPUT, "clip '%s' has no picture", v->clip->label);
    if (!(at.x >= 0 && at.y >= 0 && at.x <= v->clip->width && at.y <= v->clip->height))
        return err_set(e, ERR_INPUT, "%g,%g is outside the picture, which is %d x %d pixels", at.x,
                       at.y, v->clip->width, v->clip->height);
    if (!app_field_at(v, &click->reach, &by, click->note, e) ||
        !measure(v->memory, &by, &one, &on, e))
        return false;
    field_place_steps(g, on.at[0], &m->x, &m->y);
    snprintf(pixel, sizeof pixel, "pixel %g,%g", at.x, at.y);
    m->on_field = across_on(g, m->x, pixel, &why) && depth_on(g, m->y, pixel, &why);
    return m->on_field || err_set(e, ERR_INPUT, "%s", why.text);
}

/* --- storing several ----------------------------------------------------------------------------- */

struct adding {
    struct app *app;
    const struct clip *clip;
    const struct mark_list *marks;
};

/* The map is read within the step: what another program ties meanwhile is seen or waits. */
static bool add_all(struct store *s, void *ctx, struct err *e)
{
    struct adding *a = ctx;
    struct arena mem = {0};
    const struct map *map = app_map(a->app, a->clip, &mem, NULL, e);
    int64_t newest = 0;
    bool ok = map != NULL && store_mark_newest(s, &newest, e);
    for (size_t i = 0; ok && i < a->marks->n; i++) {
        struct mark *m = &a->marks->at[i];
        app_place_mark(map, m);
        ok = store_mark_same(s, &a->app->show, m, newest, e) &&
             (m->id != 0 || store_mark_add(s, &a->app->show, m, e));
    }
    arena_free(&mem);
    return ok;
}

bool app_mark_all(struct app *a, const struct clip *c, const struct mark_list *marks,
                  const char *what, struct err *e)
{
    struct adding adding = {a, c, marks};
    return store_step(a->store, what, add_all, &adding, e);
}

/* --- how far from their dots ---------------------------------------------------------------------- */

/* From the dot of the one whom the mark speaks of, inches; false: it tells nothing. Nor does one that a
 * measure made, since those are made of people who are off. */
static bool off_dot(const struct ghosts *g, const struct mark *m, struct field_place *out)
{
    const struct grid *grid = &g->show->grid;
    struct dot_place dot;
    if (!m->on_field || m->measure.kind != MEASURE_NONE || m->n_targets != 1 ||
        m->targets[0].performer < 0 || m->set < 0 ||
        !ghost_stands(g, m->targets[0].performer, (struct set_count){m->set, m->count}, &dot))
        return false;
    const struct field_place is = field_place_of(grid, m->x, m->y),
                             should = field_place_of(grid, dot.x, dot.y);
    *out = (struct field_place){is.x - should.x, is.y - should.y};
    return true;
}

bool app_field_spread(struct app *a, const struct clip *c, struct arena *mem,
                      struct field_spread *out, struct err *e)
{
    struct mark_list l;
    *out = (struct field_spread){.sd_in = spread_of(NULL, 0)};
    if (!store_marks(a->store, mem, c->id, &l, e))
        return false;
    const struct ghosts g = ghosts_of(&a->show, mem);
    struct field_place *off = arena_alloc(mem, (l.n + 1) * sizeof *off);
    for (size_t i = 0; i < l.n; i++)
        out->samples += off_dot(&g, &l.at[i], &off[out->samples]);
    out->sd_in = spread_of(off, out->samples);
    return true;
}
