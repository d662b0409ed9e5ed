#include "command/ground.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "app/follow_film.h"
#include "command/command.h"
#include "command/tied.h"

/* What the thread has done and the desk has not stored yet. */
struct done {
    struct done *next;
    struct track track; /* what is followed by then */
    bool piece;         /* with this one */
    struct track_piece at;
    struct track_frame frames[];
};

struct worker {
    pthread_t thread;
    atomic_bool stop, ended;
    atomic_int percent;
    pthread_mutex_t lock; /* of the two below */
    struct done *first, *last;
    /* for the thread alone until it has ended */
    struct arena memory;
    bool finds; /* the camera first */
    struct film_search search;
    struct film_found found;
    struct film_job job;
    struct grid grid;
    struct track track;
    bool ok;
    struct err e;
    /* the desk's */
    struct track_key key;
    bool told; /* what was found was stored */
};

struct ground {
    struct ground_shown shown;
    struct arena memory; /* of the view */
    struct field_view view;
    int64_t clip; /* row of the view's clip, 0: none is read */
    struct worker *now;
    bool spent; /* the thread ended with these picks: it is not begun again by itself */
};

static void left(struct desk *d, void *mine);
static void before_read(struct desk *d, void *mine);
static bool work(struct desk *d, void *mine);
static void end(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct ground),
                                 .clip_left = left,
                                 .before_read = before_read,
                                 .work = work,
                                 .end = end};

static struct ground *ground(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct ground_shown *ground_shown(const struct desk *d)
{
    return &ground(d)->shown;
}

/* --- the view ---------------------------------------------------------------------------------- */

static void forget(struct ground *g)
{
    arena_free(&g->memory);
    g->view = (struct field_view){0};
    g->clip = 0;
}

static bool read_view(const struct desk *d, struct ground *g, struct err *e)
{
    const struct clip *c = desk_current(d);
    /* what was found by the picks alone is not stored */
    const struct alone alone = g->view.alone;
    const bool was_alone = g->view.by == FIELD_ALONE;
    const struct track_key key = g->view.key;
    const int64_t alone_us = g->view.alone_us;
    forget(g);
    if (!c || !app_field(d->app, c, &g->memory, &g->view, e))
        return false;
    g->clip = c->id;
    if (was_alone && g->view.by == FIELD_UNKNOWN && key.made_from == g->view.key.made_from) {
        g->view.alone = alone;
        g->view.alone_us = alone_us;
        g->view.by = FIELD_ALONE;
    }
    return true;
}

const struct field_view *ground_view(const struct desk *d)
{
    struct ground *g = ground(d);
    struct err none;
    if (g->clip != d->clip && d->clip && !read_view(d, g, &none))
        return NULL;
    return g->clip ? &g->view : NULL;
}

bool ground_seen(const struct desk *d, struct seen_by *out)
{
    const struct field_view *v = ground_view(d);
    struct err none;
    return v && v->by != FIELD_UNKNOWN && app_field_seen(v, d->play.at_us, out, NULL, &none);
}

double ground_followed(const struct desk *d)
{
    const struct worker *w = ground(d)->now;
    return w ? atomic_load(&w->percent) / 100.0 : -1;
}

void ground_dots(const struct desk *d, int64_t us, struct arena *mem, struct ground_dots *out)
{
    const struct show *s = &d->app->show;
    struct spot spot;
    *out = (struct ground_dots){0};
    if (s->n_dots == 0 || !d->map || !map_at(d->map, us, &spot))
        return;
    const struct ghosts g = ghosts_of(s, mem);
    out->at = arena_alloc(mem, (s->n_performers + 1) * sizeof *out->at);
    for (size_t i = 0; i < s->n_performers; i++) {
        struct who_dot dot = {.performer = (int)i};
        if (!s->performers[i].removed &&
            ghost_stands(&g, (int)i, (struct set_count){spot.set, spot.count}, &dot.at))
            out->at[out->n++] = dot;
    }
}

/* --- the thread -------------------------------------------------------------------------------- */

static bool hand_over(void *user, const struct track *t, const struct track_piece *p, struct err *e)
{
    struct worker *w = user;
    const size_t n = p ? p->n : 0;
    struct done *one = xcalloc(1, sizeof *one + n * sizeof *one->frames);
    (void)e;
    one->track = *t;
    one->piece = p != NULL;
    if (p) {
        one->at = *p;
        one->at.at = one->frames;
        memcpy(one->frames, p->at, n * sizeof *one->frames);
    }
    pthread_mutex_lock(&w->lock);
    if (w->last)
        w->last->next = one;
    else
        w->first = one;
    w->last = one;
    pthread_mutex_unlock(&w->lock);
    return true;
}

static void tell(void *user, double share)
{
    atomic_store(&((struct worker *)user)->percent, (int)(share * 100));
}

static void *run(void *user)
{
    struct worker *w = user;
    w->ok = !w->finds || film_find(&w->search, &w->memory, &w->found, &w->e);
    if (w->ok && w->finds)
        w->track = w->found.track;
    if (w->ok && (!w->finds || w->found.lines))
        w->ok = film_follow(&w->job, &w->e);
    atomic_store(&w->ended, true);
    return NULL;
}

static struct track track_copy(struct arena *a, const struct track *t)
{
    struct track c = *t;
    c.at = arena_alloc(a, (t->n + 1) * sizeof *c.at);
    for (size_t i = 0; i < t->n; i++) {
        c.at[i] = t->at[i];
        c.at[i].at = arena_alloc(a, t->at[i].n * sizeof *c.at[i].at);
        memcpy(c.at[i].at, t->at[i].at, t->at[i].n * sizeof *c.at[i].at);
    }
    return c;
}

/* Everything of the show that the thread needs, as copies. */
static bool prepare(struct ground *g, struct worker *w, struct err *e)
{
    struct field_view *v = &g->view;
    const char *path = app_clip_path(v->app, v->clip, e);
    if (!path)
        return false;
    path = arena_strdup(&w->memory, path);
    w->grid = v->app->show.grid;
    w->key = v->key;
    w->finds = v->by == FIELD_UNKNOWN;
    w->told = !w->finds;
    if (w->finds) {
        if (!app_field_search(v, &w->search, e))
            return false;
        struct pointing *p = &w->search.pointing;
        struct pointed *at = arena_alloc(&w->memory, (p->n + 1) * sizeof *at);
        memcpy(at, p->at, p->n * sizeof *at);
        p->at = at;
        p->grid = &w->grid;
        w->search.path = path;
    } else
        w->track = track_copy(&w->memory, &v->track);
    w->job = (struct film_job){.path = path,
                               .length_us = v->clip->length_us,
                               .grid = &w->grid,
                               .track = &w->track,
                               .whole = true,
                               .stop = &w->stop,
                               .keep = hand_over,
                               .progress = tell,
                               .user = w};
    return true;
}

static void worker_free(struct worker *w)
{
    for (struct done *one = w->first, *next; one; one = next) {
        next = one->next;
        free(one);
    }
    arena_free(&w->memory);
    pthread_mutex_destroy(&w->lock);
    free(w);
}

static void begin(struct desk *d, struct ground *g)
{
    struct worker *w = xcalloc(1, sizeof *w);
    struct err e;
    pthread_mutex_init(&w->lock, NULL);
    if (!prepare(g, w, &e)) {
        desk_trouble(d, "%s", e.text);
        worker_free(w);
    } else if (pthread_create(&w->thread, NULL, run, w) != 0) {
        desk_trouble(d, "the field cannot be followed now");
        worker_free(w);
    } else
        g->now = w;
}

/* --- what it has done ---------------------------------------------------------------------------- */

static bool store_found(struct desk *d, struct ground *g, struct err *e)
{
    struct worker *w = g->now;
    w->told = true;
    g->shown.lines = true; /* which shows whether it is right */
    if (!app_field_found(&g->view, &w->found, e))
        return false;
    desk_wrote(d);
    return true;
}

static struct done *take(struct worker *w)
{
    pthread_mutex_lock(&w->lock);
    struct done *all = w->first;
    w->first = w->last = NULL;
    pthread_mutex_unlock(&w->lock);
    return all;
}

/* *any: something was stored. */
static bool store_done(struct desk *d, struct ground *g, bool *any, struct err *e)
{
    struct done *all = take(g->now);
    bool ok = true;
    *any = all != NULL;
    if (all && !g->now->told)
        ok = store_found(d, g, e);
    for (struct done *one = all, *next; one; one = next) {
        bool kept = true;
        next = one->next;
        const struct track_pieces pieces = {&one->track, &one->at, one->piece ? 1 : 0};
        ok = ok && (store_read_only(d->app->store) ||
                    store_track_add(d->app->store, &g->now->key, &pieces, &kept, e));
        free(one);
    }
    if (*any)
        desk_wrote(d);
    return ok;
}

/* Ends it and stores what it has done. */
static void halt(struct desk *d, struct ground *g)
{
    struct err e;
    bool any;
    struct worker *w = g->now;
    if (!w)
        return;
    atomic_store(&w->stop, true);
    pthread_join(w->thread, NULL);
    if (g->clip && !store_done(d, g, &any, &e))
        desk_trouble(d, "%s", e.text);
    g->now = NULL;
    worker_free(w);
}

static void say_found(struct desk *d, const struct ground *g)
{
    const struct field_view *v = &g->view;
    if (v->by == FIELD_ALONE)
        desk_say(d, "the field by the picks alone: %s", v->why);
    else if (v->track.whole && v->track.checked_lines)
        desk_say(
            d,
            "the field is followed through the clip; checked against lines that were not used: "
            "%.2f step",
            v->track.checked);
    else
        desk_say(d, "the field is followed");
}

static void finish(struct desk *d, struct ground *g)
{
    struct err e;
    bool any;
    struct worker *w = g->now;
    pthread_join(w->thread, NULL);
    bool ok = store_done(d, g, &any, &e) && (w->told || !w->ok || store_found(d, g, &e));
    if (ok && !w->ok) {
        ok = false;
        e = w->e;
    }
    g->now = NULL;
    g->spent = true;
    worker_free(w);
    if (ok)
        ok = read_view(d, g, &e);
    if (ok)
        say_found(d, g);
    else
        desk_trouble(d, "%s", e.text);
}

static bool work(struct desk *d, void *mine)
{
    struct ground *g = mine;
    struct err e;
    bool any = false;
    if (!g->now)
        return false;
    if (atomic_load(&g->now->ended)) {
        finish(d, g);
        return true;
    }
    if (!store_done(d, g, &any, &e) || (any && !read_view(d, g, &e))) {
        desk_trouble(d, "%s", e.text);
        halt(d, g);
        return true;
    }
    return any;
}

/* --- from outside -------------------------------------------------------------------------------- */

void ground_work(struct desk *d)
{
    struct ground *g = ground(d);
    const struct field_view *v = ground_view(d);
    if (!v || g->now || g->spent || v->picks.n == 0 || (v->by == FIELD_LINES && v->track.whole) ||
        v->by == FIELD_ALONE)
        return;
    begin(d, g);
}

void ground_picked(struct desk *d)
{
    struct ground *g = ground(d);
    struct err e;
    halt(d, g);
    g->spent = false;
    if (!read_view(d, g, &e))
        desk_trouble(d, "%s", e.text);
    else if (g->view.picks.n >= 4)
        ground_work(d);
}

static void left(struct desk *d, void *mine)
{
    struct ground *g = mine;
    halt(d, g);
    forget(g);
    g->spent = false;
}

/* Another program may have changed picks, grid or clips: what the thread does may be about others. */
static void before_read(struct desk *d, void *mine)
{
    struct ground *g = mine;
    halt(d, g);
    forget(g);
    g->spent = false;
}

static void end(struct desk *d, void *mine)
{
    left(d, mine);
}

static bool can_show(struct desk *d, const char *what)
{
    const struct field_view *v = ground_view(d);
    if (v && v->picks.n > 0) {
        ground_work(d);
        return true;
    }
    desk_trouble(d, "%s: nobody has said yet where the field is; %s points at it", what,
                 keymap_key_of(&d->keys, "review", "measure"));
    return false;
}

void command_grid(struct desk *d, const char *arg)
{
    struct ground_shown *s = &ground(d)->shown;
    (void)arg;
    if (!s->lines && !can_show(d, "the field's lines"))
        return;
    s->lines = !s->lines;
    desk_say(d, s->lines ? "the field's lines are drawn over the picture" : "no lines are drawn");
}

/* Dots, dots with labels, none. */
void command_ghosts(struct desk *d, const char *arg)
{
    struct ground_shown *s = &ground(d)->shown;
    (void)arg;
    if (!s->ghosts && d->app->show.n_dots == 0) {
        desk_trouble(d, "the show has no dots yet");
        return;
    }
    if (!s->ghosts && !can_show(d, "dots over the picture"))
        return;
    if (s->ghosts && s->labels)
        s->ghosts = s->labels = false;
    else if (s->ghosts)
        s->labels = true;
    else
        s->ghosts = true;
    desk_say(d, s->labels   ? "dots with their labels"
                : s->ghosts ? "where everybody should be now; again: with labels"
                            : "no dots are drawn");
}
