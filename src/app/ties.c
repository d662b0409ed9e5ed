/* A clip tied to the drill: its map, new ties, and marks that follow them. */
#include <stdlib.h>
#include <string.h>

#include "app/ties.h"
#include "count/moment.h"
#include "count/timecode.h"

enum { RESTART_LEAST_US = 2000000 };

const struct move *app_moves(const struct show *show, struct arena *mem)
{
    struct move *m = arena_alloc(mem, show->n_sets * sizeof *m);
    for (size_t i = 0; i < show->n_sets; i++) {
        const struct set *s = &show->sets[i];
        m[i] = (struct move){s->label, s->counts, s->tempo, s->tempo_end, s->hold};
    }
    return m;
}

static const struct map *build(struct app *a, const struct clip *c, const struct tie_list *ties,
                               struct arena *mem, struct err *e)
{
    struct map_anchor *anchors = arena_alloc(mem, ties->n * sizeof *anchors);
    for (size_t i = 0; i < ties->n; i++)
        anchors[i] = (struct map_anchor){ties->at[i].at_us, ties->at[i].set, ties->at[i].count,
                                         ties->at[i].flags};
    const char *percent = store_setting(a->store, mem, "off-tempo");
    struct map_options options = {.length_us = c->length_us,
                                  .off_tempo = percent ? atof(percent) / 100 : 0};
    const struct map *m =
        map_build(mem, app_moves(&a->show, mem), a->show.n_sets, anchors, ties->n, &options, e);
    if (!m)
        err_in(e, "clip '%s'", c->label);
    return m;
}

const struct map *app_map(struct app *a, const struct clip *c, struct arena *mem,
                          struct tie_list *ties, struct err *e)
{
    struct tie_list own;
    if (!store_ties(a->store, mem, c->id, ties ? ties : &own, e))
        return NULL;
    return build(a, c, ties ? ties : &own, mem, e);
}

static bool same_stretch(const struct map *map, size_t i)
{
    size_t n;
    const struct map_stretch *s = map_stretches(map, &n);
    for (size_t k = 0; k < n; k++)
        if ((int)i >= s[k].first && (int)i < s[k].last)
            return true;
    return false;
}

/* Nobody stops, goes back and starts again within two seconds: two ties so near each other that
 * fit no common run are a slip of the hand, unless the person says that they part here. */
static bool far_enough(const struct app *a, const struct map *map, const struct tie_list *ties,
                       const struct tie *put, struct err *e)
{
    char first[24], second[24];
    for (size_t i = 0; i + 1 < ties->n; i++) {
        const struct tie *x = &ties->at[i], *y = &ties->at[i + 1];
        if ((x->at_us != put->at_us && y->at_us != put->at_us) ||
            y->at_us - x->at_us >= RESTART_LEAST_US || (x->flags & ANCHOR_HALT) ||
            (y->flags & (ANCHOR_BREAK | ANCHOR_FROM)) || same_stretch(map, i))
            continue;
        time_format(x->at_us, first);
        time_format(y->at_us, second);
        return err_set(e, ERR_INPUT,
                       "out of order: the band cannot be at set %s, count %g at %s and at set %s, "
                       "count %g at %s; correct one, or say that a new stretch begins there",
                       a->show.sets[x->set].label, x->count, first, a->show.sets[y->set].label,
                       y->count, second);
    }
    return true;
}

/* Writes are tried against the map first: what the map refuses is never stored. */
static bool change(struct app *a, const struct clip *c, const char *what, const struct tie *put,
                   const int64_t *remove, struct err *e)
{
    struct arena mem = {0};
    bool ok = store_begin(a->store, what, e);
    if (!ok)
        return false;
    if (remove)
        ok = store_tie_remove(a->store, c->id, *remove, e);
    if (ok && put)
        ok = store_tie_put(a->store, &a->show, c->id, put, e);
    struct tie_list ties;
    const struct map *map = ok ? app_map(a, c, &mem, &ties, e) : NULL;
    ok = map && (!put || far_enough(a, map, &ties, put, e)) &&
         store_place_marks(a->store, &a->show, c->id, map, e);
    arena_free(&mem);
    if (!ok) {
        store_rollback(a->store);
        return false;
    }
    return store_commit(a->store, e);
}

static bool check_place(const struct app *a, const struct clip *c, const struct tie *t,
                        struct err *e)
{
    const struct set *s = &a->show.sets[t->set];
    char length[24];
    if (t->at_us < 0 || t->at_us > c->length_us) {
        time_format(c->length_us, length);
        return err_set(e, ERR_INPUT, "that time is outside the clip '%s' (%s long)", c->label,
                       length);
    }
    if (t->count < 1 || t->count > s->counts + 1)
        return err_set(e, ERR_INPUT, "set %s has %d counts; there is no count %g", s->label,
                       s->counts, t->count);
    return true;
}

bool app_tie(struct app *a, const struct clip *c, const struct tie *t, const char *what,
             struct err *e)
{
    return check_place(a, c, t, e) && change(a, c, what, t, NULL, e);
}

bool app_untie(struct app *a, const struct clip *c, int64_t at_us, const char *what, struct err *e)
{
    return change(a, c, what, NULL, &at_us, e);
}

bool app_tie_move(struct app *a, const struct clip *c, const struct tie *t, int64_t to_us,
                  const char *what, struct err *e)
{
    struct tie moved = *t;
    moved.at_us = to_us;
    return check_place(a, c, &moved, e) && change(a, c, what, &moved, &t->at_us, e);
}

bool app_place_all(struct app *a, struct err *e)
{
    for (size_t i = 0; i < a->clips.n; i++) {
        struct arena mem = {0};
        const struct map *map = app_map(a, &a->clips.at[i], &mem, NULL, e);
        bool ok = map && store_place_marks(a->store, &a->show, a->clips.at[i].id, map, e);
        arena_free(&mem);
        if (!ok)
            return false;
    }
    return true;
}

void app_place_mark(const struct map *map, struct mark *m)
{
    struct spot spot;
    m->set = -1;
    if (!map || !map_at(map, m->at_us, &spot))
        return;
    m->set = spot.set;
    m->count = spot.count;
}

bool app_clip_time(const struct clip *c, const char *text, int64_t *us, struct err *e)
{
    struct moment m;
    if (!moment_parse_time(text, rate_standard(c->fps_num, c->fps_den), &m, e))
        return false;
    if (m.kind != MOMENT_TIME)
        return err_set(e, ERR_INPUT, "'%s' is not a time of the clip; write 5:58.2", text);
    *us = m.us;
    return true;
}
