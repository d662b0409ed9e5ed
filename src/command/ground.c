#include "command/ground.h"

#include <stdio.h>
#include <stdlib.h>

#include "command/command.h"
#include "command/ground_thread.h"
#include "command/tied.h"

struct ground {
    struct ground_shown shown;
    struct arena memory; /* of the view */
    struct field_view view;
    int64_t clip; /* row of the view's clip, 0: none is read */
    struct ground_thread *now;
    bool told;                     /* what it found was stored */
    struct ground_thread *gone[8]; /* that were asked to end and do not yet */
    bool wanted; /* somebody asked for the field of this clip: it is followed until it is known */
    uint64_t spent; /* the picks that a thread ended with: none is begun again by itself for them */
    /* what was found by the picks alone, which no file keeps */
    struct alone_found {
        uint64_t made_from;
        struct alone alone;
        int64_t us;
        char why[600];
    } alone;
};

static void left(struct desk *d, void *mine);
static void before_read(struct desk *d, void *mine);
static void after_read(struct desk *d, void *mine);
static bool work(struct desk *d, void *mine);
static void end(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct ground),
                                 .clip_left = left,
                                 .before_read = before_read,
                                 .after_read = after_read,
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
    struct field_view *v = &g->view;
    forget(g);
    if (!c || !app_field(d->app, c, &g->memory, v, e))
        return false;
    g->clip = c->id;
    if (v->by == FIELD_UNKNOWN && v->picks.n > 0 && g->alone.made_from == v->key.made_from) {
        v->by = FIELD_ALONE;
        v->alone = g->alone.alone;
        v->alone_us = g->alone.us;
        snprintf(v->why, sizeof v->why, "%s", g->alone.why);
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
    const struct ground_thread *t = ground(d)->now;
    return t ? ground_thread_share(t) : -1;
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

/* --- what the thread has done ---------------------------------------------------------------------- */

static void begin(struct desk *d, struct ground *g)
{
    struct err e;
    g->now = ground_thread_begin(&g->view, &e);
    g->told = false;
    if (!g->now)
        desk_trouble(d, "%s", e.text);
}

static bool store_found(struct desk *d, struct ground *g, struct err *e)
{
    const struct film_found *found = ground_thread_found(g->now);
    if (g->told || !found)
        return true;
    g->told = true;
    g->shown.lines = true; /* which shows whether it is right */
    if (!app_field_found(&g->view, found, e))
        return false;
    if (!found->lines) {
        g->alone = (struct alone_found){
            .made_from = g->view.key.made_from, .alone = found->alone, .us = found->us};
        snprintf(g->alone.why, sizeof g->alone.why, "%s", found->why);
    }
    desk_wrote(d);
    return true;
}

/* One after the other: where one could not be stored none that follows is, or frames between them were
 * never followed. *any: something was stored. */
static bool store_done(struct desk *d, struct ground *g, bool *any, struct err *e)
{
    struct ground_done *all = ground_thread_take(g->now);
    bool ok = !all || store_found(d, g, e);
    *any = all != NULL;
    for (struct ground_done *one = all, *next; one; one = next) {
        bool kept = true;
        next = one->next;
        const struct track_pieces pieces = {&one->track, &one->at, one->piece ? 1 : 0};
        if (store_read_only(d->app->store)) /* then it is for this review alone */
            track_extend(&g->memory, &g->view.track, &one->track, one->piece ? &one->at : NULL);
        else
            ok = ok && store_track_add(d->app->store, ground_thread_key(g->now), &pieces, &kept, e);
        free(one);
    }
    if (*any)
        desk_wrote(d);
    return ok;
}

static void free_gone(struct ground *g, bool all)
{
    for (size_t i = 0; i < sizeof g->gone / sizeof *g->gone; i++)
        if (g->gone[i] && (all || ground_thread_ended(g->gone[i]))) {
            ground_thread_free(g->gone[i]);
            g->gone[i] = NULL;
        }
}

/* Nobody waits for the end of a search: its thread is freed once it is there. */
static void let_go(struct ground *g)
{
    const size_t most = sizeof g->gone / sizeof *g->gone;
    size_t i = 0;
    free_gone(g, false);
    while (i < most && g->gone[i])
        i++;
    if (i == most)
        ground_thread_free(g->now);
    else
        g->gone[i] = g->now;
    g->now = NULL;
}

/* Ends it; what it has done is stored when it is still of use. */
static void halt(struct desk *d, struct ground *g, bool keep)
{
    struct err e;
    bool any;
    if (!g->now)
        return;
    if (!ground_thread_stop(g->now)) {
        let_go(g);
        return;
    }
    ground_thread_join(g->now, &e);
    if (keep && g->clip && !store_done(d, g, &any, &e))
        desk_trouble(d, "%s", e.text);
    ground_thread_free(g->now);
    g->now = NULL;
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

/* What was found is the thread's memory until it is read from the file. ok: and nothing went wrong, else
 * *e stays what it is. */
static bool read_again(const struct desk *d, struct ground *g, bool ok, struct err *e)
{
    struct err unread;
    const bool read = store_read_only(d->app->store) || read_view(d, g, &unread);
    if (ok && !read)
        *e = unread;
    return ok && read;
}

static void finish(struct desk *d, struct ground *g)
{
    struct err e;
    bool any;
    const bool ok =
        ground_thread_join(g->now, &e) && store_done(d, g, &any, &e) && store_found(d, g, &e);
    g->spent = g->view.key.made_from;
    ground_thread_free(g->now);
    g->now = NULL;
    if (read_again(d, g, ok, &e))
        say_found(d, g);
    else
        desk_trouble(d, "%s", e.text);
}

static bool work(struct desk *d, void *mine)
{
    struct ground *g = mine;
    struct err e;
    bool any = false;
    free_gone(g, false);
    if (!g->now || !g->clip)
        return false;
    if (ground_thread_ended(g->now)) {
        finish(d, g);
        return true;
    }
    if (store_done(d, g, &any, &e) &&
        (!any || store_read_only(d->app->store) || read_view(d, g, &e)))
        return any;
    g->wanted = false;
    halt(d, g, false);
    read_again(d, g, false, &e);
    desk_trouble(d, "the field is not followed any further: %s", e.text);
    return true;
}

/* --- from outside -------------------------------------------------------------------------------- */

void ground_work(struct desk *d)
{
    struct ground *g = ground(d);
    const struct field_view *v = ground_view(d);
    if (!v || v->picks.n == 0)
        return;
    g->wanted = true;
    if (!g->now && g->spent != v->key.made_from && v->by != FIELD_ALONE &&
        !(v->by == FIELD_LINES && v->track.whole))
        begin(d, g);
}

/* As far as it is wanted and enough is picked for it. */
static void go_on(struct desk *d, struct ground *g)
{
    if (g->wanted && (g->view.by != FIELD_UNKNOWN || g->view.picks.n >= 4))
        ground_work(d);
}

void ground_picked(struct desk *d)
{
    struct ground *g = ground(d);
    struct err e;
    halt(d, g, false);
    g->wanted = true;
    if (read_view(d, g, &e))
        go_on(d, g);
    else
        desk_trouble(d, "%s", e.text);
}

static void left(struct desk *d, void *mine)
{
    struct ground *g = mine;
    halt(d, g, true);
    forget(g);
    g->wanted = false;
    g->spent = 0;
}

static void before_read(struct desk *d, void *mine)
{
    (void)d;
    forget(mine);
}

/* Another program may have changed picks, the ground or the clip, or undo has: what the thread does is
 * about others then. Else it goes on; it has copies. */
static void after_read(struct desk *d, void *mine)
{
    struct ground *g = mine;
    struct err e;
    if (!g->now && !g->wanted)
        return;
    const bool read = read_view(d, g, &e);
    if (g->now && !(read && ground_thread_key(g->now)->clip == g->clip &&
                    ground_thread_key(g->now)->made_from == g->view.key.made_from))
        halt(d, g, false);
    if (read)
        go_on(d, g);
}

static void end(struct desk *d, void *mine)
{
    left(d, mine);
    free_gone(mine, true);
}

/* --- commands -------------------------------------------------------------------------------------- */

/* Is anything known to draw, or will it be? */
static bool can_show(struct desk *d, const char *what)
{
    const struct field_view *v = ground_view(d);
    const char *points = keymap_key_of(&d->keys, "review", "measure");
    ground_work(d);
    if (v && (v->by != FIELD_UNKNOWN || ground(d)->now))
        return true;
    if (!v || v->picks.n == 0)
        desk_trouble(d, "%s: nobody has said yet where the field is; %s points at it", what,
                     points);
    else if (!*d->message || !d->trouble)
        desk_trouble(d, "%s: the field was not found from %zu picks; %s points at more", what,
                     v->picks.n, points);
    return false;
}

/* What the screen has from now on. */
static void say_shown(struct desk *d, const char *what)
{
    const struct field_view *v = ground_view(d);
    desk_say(d, "%s%s", what,
             v && v->by == FIELD_UNKNOWN ? ", as soon as the field is found ..." : "");
}

void command_grid(struct desk *d, const char *arg)
{
    struct ground_shown *s = &ground(d)->shown;
    (void)arg;
    if (!s->lines && !can_show(d, "the field's lines"))
        return;
    s->lines = !s->lines;
    if (s->lines)
        say_shown(d, "the field's lines are drawn over the picture");
    else
        desk_say(d, "no lines are drawn");
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
    if (!s->ghosts && d->ties.n == 0) {
        desk_trouble(d,
                     "the clip is not tied to the drill, so nobody is due anywhere; %s ties a set",
                     keymap_key_of(&d->keys, "review", "tie"));
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
    if (s->ghosts)
        say_shown(d, s->labels ? "dots with their labels"
                               : "where everybody should be now; again: with labels");
    else
        desk_say(d, "no dots are drawn");
}
