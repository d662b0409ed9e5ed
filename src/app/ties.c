/* A clip tied to the drill: its map, new ties, and marks that follow them. */
#include <stdlib.h>
#include <string.h>

#include "app/ties.h"
#include "count/moment.h"
#include "count/timecode.h"

enum { RESTART_LEAST_US = 2000000 };

struct moves app_moves(const struct show *show, struct arena *mem)
{
    struct move *m = arena_alloc(mem, show->n_sets * sizeof *m);
    for (size_t i = 0; i < show->n_sets; i++) {
        const struct set *s = &show->sets[i];
        /* A map may outlive the show it was made from, and its messages name sets. */
        m[i] =
            (struct move){arena_strdup(mem, s->label), s->counts, s->tempo, s->tempo_end, s->hold};
    }
    return (struct moves){m, show->n_sets};
}

/* A tie rests while its set, its count or its time is not there (a set list that was cut, a shorter
 * clip): it is kept, said, and not used. */
static bool rests(const struct app *a, const struct clip *c, const struct tie *t)
{
    return t->set < 0 || t->count < 1 || !(t->count <= (double)a->show.sets[t->set].counts + 1) ||
           t->at_us < 0 || (c->length_us > 0 && t->at_us > c->length_us);
}

static const struct map *build(struct app *a, const struct clip *c, struct tie_list *ties,
                               struct arena *mem, struct err *e)
{
    struct map_anchor *anchors = arena_alloc(mem, ties->n * sizeof *anchors);
    size_t n = 0;
    for (size_t i = 0; i < ties->n; i++) {
        struct tie *t = &ties->at[i];
        t->rests = rests(a, c, t);
        if (!t->rests)
            anchors[n++] = (struct map_anchor){t->at_us, t->set, t->count, t->flags, t->error_us};
    }
    const char *percent = store_setting(a->store, mem, "off-tempo");
    struct map_options options = {.length_us = c->length_us,
                                  .off_tempo = percent ? atof(percent) / 100 : 0};
    const struct map *m =
        map_build(mem, app_moves(&a->show, mem), (struct map_anchors){anchors, n}, &options, e);
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
    const struct tie *x = NULL, *y;
    size_t n = 0; /* ties that are used: the map's anchors */
    for (size_t i = 0; i < ties->n; i++, x = y) {
        y = &ties->at[i];
        if (y->rests) {
            y = x;
            continue;
        }
        if (n++ == 0 || (x->at_us != put->at_us && y->at_us != put->at_us) ||
            y->at_us - x->at_us >= RESTART_LEAST_US || (x->flags & ANCHOR_HALT) ||
            (y->flags & (ANCHOR_BREAK | ANCHOR_FROM)) || same_stretch(map, n - 2))
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

struct change {
    struct app *app;
    const struct clip *clip;
    const struct tie *put;
    const int64_t *remove;
};

/* Writes are tried against the map first: what the map refuses is never stored. */
static bool do_change(struct store *s, void *ctx, struct err *e)
{
    struct change *x = ctx;
    struct arena mem = {0};
    struct tie_list ties;
    bool ok = (!x->remove || store_tie_remove(s, x->clip->id, *x->remove, e)) &&
              (!x->put || store_tie_put(s, &x->app->show, x->clip->id, x->put, e));
    const struct map *map = ok ? app_map(x->app, x->clip, &mem, &ties, e) : NULL;
    ok = map && (!x->put || far_enough(x->app, map, &ties, x->put, e)) &&
         store_place_marks(s, &x->app->show, x->clip->id, map, e);
    arena_free(&mem);
    return ok;
}

static bool change(struct app *a, const struct clip *c, const char *what, const struct tie *put,
                   const int64_t *remove, struct err *e)
{
    struct change x = {a, c, put, remove};
    return store_step(a->store, what, do_change, &x, e);
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
    if (!(t->count >= 1 && t->count <= (double)s->counts + 1))
        return err_set(e, ERR_INPUT, "set %s has %d counts; there is no count %g", s->label,
                       s->counts, t->count);
    return true;
}

bool app_tie(struct app *a, const struct clip *c, const struct tie *t, const char *what,
             struct err *e)
{
    return check_place(a, c, t, e) && change(a, c, what, t, NULL, e);
}

/* The ties with this one among them, as the map would take them. */
static struct tie_list with(const struct tie_list *l, const struct tie *t, struct arena *mem)
{
    struct tie_list out = {arena_alloc(mem, (l->n + 1) * sizeof *out.at), 0};
    for (size_t i = 0; i < l->n; i++) {
        if (l->at[i].at_us == t->at_us)
            continue;
        if (l->at[i].at_us > t->at_us && (!out.n || out.at[out.n - 1].at_us < t->at_us))
            out.at[out.n++] = *t;
        out.at[out.n++] = l->at[i];
    }
    if (!out.n || out.at[out.n - 1].at_us < t->at_us)
        out.at[out.n++] = *t;
    return out;
}

static void name_tie(const struct app *a, const struct tie *t, struct buf *out)
{
    char time[24];
    time_format_short(t->at_us, time);
    buf_printf(out, "set %s, count %g at %s", a->show.sets[t->set].label, t->count, time);
}

/* The used tie that the new one is parted from. */
static const struct tie *neighbour(const struct tie_list *l, const struct tie *t)
{
    const struct tie *best = NULL;
    for (size_t i = 0; i < l->n; i++)
        if (!l->at[i].rests && l->at[i].at_us != t->at_us &&
            (!best || llabs(l->at[i].at_us - t->at_us) < llabs(best->at_us - t->at_us)))
            best = &l->at[i];
    return best;
}

bool app_tie_parts(struct app *a, const struct clip *c, const struct tie *t, struct buf *why,
                   struct err *e)
{
    struct arena mem = {0};
    struct tie_list before, after;
    size_t n_before = 0, n_after = 0;
    bool parts = false;
    const struct map *map = check_place(a, c, t, e) ? app_map(a, c, &mem, &before, e) : NULL;
    bool ok = map != NULL;
    if (ok)
        map_stretches(map, &n_before);
    if (ok && n_before && !t->flags) {
        after = with(&before, t, &mem);
        map = build(a, c, &after, &mem, e);
        ok = map && far_enough(a, map, &after, t, e);
        if (ok)
            map_stretches(map, &n_after);
        parts = ok && n_after > n_before;
    }
    const struct tie *other = parts ? neighbour(&after, t) : NULL;
    if (other) {
        name_tie(a, t, why);
        buf_str(why, " cannot be one run with ");
        name_tie(a, other, why);
        buf_str(why, " at anything like the written tempo");
    }
    arena_free(&mem);
    return ok;
}

bool app_untie(struct app *a, const struct clip *c, int64_t at_us, const char *what, struct err *e)
{
    return change(a, c, what, NULL, &at_us, e);
}

bool app_tie_move(struct app *a, const struct clip *c, struct tie_move move, const char *what,
                  struct err *e)
{
    struct tie moved = *move.tie;
    struct arena mem = {0};
    struct tie_list ties;
    moved.at_us = move.to_us;
    bool ok = store_ties(a->store, &mem, c->id, &ties, e);
    for (size_t i = 0; ok && i < ties.n; i++)
        if (ties.at[i].at_us == moved.at_us && moved.at_us != move.tie->at_us)
            ok = err_set(e, ERR_INPUT, "there is a tie to set %s already",
                         a->show.sets[ties.at[i].set].label);
    arena_free(&mem);
    if (!ok)
        return false;
    return check_place(a, c, &moved, e) && change(a, c, what, &moved, &move.tie->at_us, e);
}

static bool place_all(struct store *s, void *ctx, struct err *e)
{
    struct app *a = ctx;
    for (size_t i = 0; i < a->clips.n; i++) {
        struct arena mem = {0};
        const struct map *map = app_map(a, &a->clips.at[i], &mem, NULL, e);
        bool ok = map && store_place_marks(s, &a->show, a->clips.at[i].id, map, e);
        arena_free(&mem);
        if (!ok)
            return false;
    }
    return true;
}

bool app_place_all(struct app *a, struct err *e)
{
    return store_step(a->store, "place marks", place_all, a, e);
}

bool app_place_one(struct app *a, int64_t mark, struct err *e)
{
    struct arena mem = {0};
    struct mark m;
    struct err gone;
    bool ok = true;
    if (store_mark_one(a->store, &mem, mark, &m, &gone)) {
        const struct map *map = NULL;
        for (size_t i = 0; i < a->clips.n; i++)
            if (a->clips.at[i].id == m.clip)
                map = app_map(a, &a->clips.at[i], &mem, NULL, e);
        ok =
            map && store_place_mark(a->store, &a->show, (struct store_call){m.at_us, m.id}, map, e);
    } else if (gone.code != ERR_INPUT) {
        *e = gone;
        ok = false;
    }
    arena_free(&mem);
    return ok;
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
